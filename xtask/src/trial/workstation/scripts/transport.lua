-- Where it is, in frames; whether it plays; whether it records.
say(Session:transport_sample(), Session:transport_rolling(), Session:actively_recording())
