-- The peaks of the master's two sides behind the plugin, in decibels.
local meter = Session:master_out():peak_meter()
say(meter:meter_level(0, ARDOUR.MeterType.MeterPeak), meter:meter_level(1, ARDOUR.MeterType.MeterPeak))
