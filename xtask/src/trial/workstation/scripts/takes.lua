-- The files of every take on the track that records.
for take in Session:route_by_name("print"):to_track():playlist():region_list():iter() do
  say(take:source(0):to_filesource():path(), take:source(1):to_filesource():path())
end
