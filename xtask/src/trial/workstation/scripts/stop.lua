Session:request_stop(false, false, ARDOUR.TransportRequestSource.TRS_UI)
