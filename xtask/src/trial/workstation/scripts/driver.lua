-- Ardour calls this with every signal it knows, its clock of a tenth of a second among them. A script that lies in the
-- trial's folder as `ask.lua` is done then, once, and what it says lies there as `answer` when it is over.
return function (signal)
  if signal ~= LuaSignal.LuaTimerDS then return end
  local asked = folder .. "/asked.lua"
  if not os.rename(folder .. "/ask.lua", asked) then return end
  local answer = io.open(folder .. "/answer.part", "w")
  say = function (...)
    local words = {}
    for _, word in ipairs({...}) do words[#words + 1] = tostring(word) end
    answer:write(table.concat(words, "\t"), "\n")
    answer:flush()
  end
  local script, fault = loadfile(asked)
  local done = false
  if script then done, fault = pcall(script) end
  answer:write(done and "done" or "failed: " .. tostring(fault), "\n")
  answer:close()
  os.rename(folder .. "/answer.part", folder .. "/answer")
end
