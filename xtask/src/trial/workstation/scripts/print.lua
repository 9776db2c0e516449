-- A track that records what the master bus sends out, and sends nothing anywhere.
local master = Session:master_out()
local track = Session:new_audio_track(2, 2, nil, 1, "print", -1, ARDOUR.TrackMode.Normal, true, false):front()
for side = 0, 1 do
  track:output():audio(side):disconnect_all()
  track:input():audio(side):disconnect_all()
  assert(track:input():audio(side):connect(master:output():audio(side):name()) == 0, "nothing to record from")
end
track:rec_enable_control():set_value(1, PBD.GroupControlDisposition.NoGroup)
