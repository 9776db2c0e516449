-- Run by ardour7-lua, without a window: an empty session with a stereo master bus.
local session = create_session(arg[1], arg[2], tonumber(arg[3]))
assert(session, "there is no session")
session:save_state("", false, false, false, false, false)
