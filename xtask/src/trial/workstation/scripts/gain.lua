-- The master's fader, in decibels.
Session:master_out():gain_control():set_value(10 ^ (tonumber(gain_db) / 20), PBD.GroupControlDisposition.NoGroup)
