-- Every VST3 plugin that Ardour knows: its name and its number.
for plugin in ARDOUR.LuaAPI.list_plugins():iter() do
  if plugin.type == ARDOUR.PluginType.VST3 then say(plugin.name, plugin.unique_id) end
end
