-- What the master bus sends out, faster than time, into a file.
local export = Session:simple_export()
assert(export:set_preset("5d8a9c1e-7f1b-4d0e-9a53-0c2f6b1e7a44"), "the trial's format is not known")
export:set_folder(into)
export:set_name(name)
export:set_range(0, tonumber(frames))
assert(export:check_outputs(), "the master bus has no outputs")
assert(export:run_export(), "the export failed")
