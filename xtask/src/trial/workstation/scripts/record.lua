-- Where it plays already, it records from here.
Session:maybe_enable_record()
