assert(Session:save_state("", false, false, false, false, false) == 0, "the session can't be saved")
