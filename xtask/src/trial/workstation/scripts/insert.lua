-- The plugin last on the master bus; then all that is on it, in order, and how much of the plugin could be automated.
local plugin = ARDOUR.LuaAPI.new_plugin(Session, number, ARDOUR.PluginType.VST3, "")
assert(not plugin:isnil(), "the plugin can't be made")
local master = Session:master_out()
master:add_processor_by_index(plugin, -1, nil, true)
local order = {}
while not master:nth_processor(#order):isnil() do
  order[#order + 1] = master:nth_processor(#order):display_name()
end
say(table.concat(order, ", "))
say(master:nth_plugin(0):to_insert():plugin(0):parameter_count())
