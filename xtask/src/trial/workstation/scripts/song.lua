-- The song onto a track of its own, from the start.
local files = C.StringVector()
files:push_back(song)
Editor:do_import(files, Editing.ImportDistinctFiles, Editing.ImportAsTrack, ARDOUR.SrcQuality.SrcBest,
  ARDOUR.MidiTrackNameSource.SMFTrackName, ARDOUR.MidiTempoMapDisposition.SMFTempoIgnore,
  Temporal.timepos_t(0), ARDOUR.PluginInfo(), ARDOUR.Track(), false)
for route in Session:get_routes():iter() do say(route:name()) end
