use super::*;

fn file() -> (tempfile::TempDir, KeptFile<Marks>) {
    let folder = tempfile::tempdir().unwrap();
    let file = KeptFile::at(folder.path().join("a home").join("monitor.toml"));
    (folder, file)
}

fn put(file: &KeptFile<Marks>, text: &[u8]) {
    std::fs::create_dir_all(file.path.parent().unwrap()).unwrap();
    std::fs::write(&file.path, text).unwrap();
}

#[test]
fn what_is_kept_is_read_back_exactly() {
    let (_folder, file) = file();
    assert_eq!(file.load().unwrap(), None, "no file is no mark");
    let mut marks = Marks::default();
    marks.put(Knob::Quiet, MonitorMark::new(61.300_000_000_000_004, -23.67));
    marks.put(Knob::Loud, MonitorMark::new(84.1, -23.67));
    file.save(&marks).unwrap();
    assert_eq!(file.load().unwrap(), Some(marks));
    marks.put(Knob::Loud, None);
    file.save(&marks).unwrap();
    assert_eq!(file.load().unwrap(), Some(marks));
    assert_eq!(std::fs::read_dir(file.path.parent().unwrap()).unwrap().count(), 1, "nothing else is left");
}

#[test]
fn what_is_damaged_or_newer_is_told_and_left() {
    let (_folder, file) = file();
    for (text, word) in [
        (&b"candlemark_monitor = 2\nroom = 3\n"[..], "newer"),
        (b"candlemark_monitor = 1\ntrumpet = 3\n", "unknown field"),
        (b"candlemark_monitor = 1\n[quiet]\nread_dba = 900.0\nnoise_db = -23.0\n", "sound-level meter"),
        (b"candlemark_monitor = 1\n[quiet]\nread_dba = nan\nnoise_db = -23.0\n", "sound-level meter"),
        (b"candlemark_monitor = 1\n[quiet]\nread_dba = 60.0\n", "noise_db"),
        (b"a letter", "move it elsewhere"),
        (b"candlemark_monitor = 1 = 2\n", "move it elsewhere"),
        (b"candlemark_monitor = \"\n", "move it elsewhere"),
        (b"\xff\xfe", "not text"),
        (b"", "candlemark_monitor"),
    ] {
        put(&file, text);
        let error = file.load().unwrap_err().to_string();
        assert!(error.contains(word) && error.contains("monitor.toml"), "{error}");
        assert_eq!(error.lines().count(), 1, "{error}");
        assert_eq!(std::fs::read(&file.path).unwrap(), text);
    }
    put(&file, &vec![b' '; MOST_BYTES as usize + 1]);
    assert!(file.load().unwrap_err().to_string().contains("too large"));
}

#[test]
fn where_it_cant_be_written_that_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let blocked = folder.path().join("blocked");
    std::fs::write(&blocked, "a file").unwrap();
    let error = KeptFile::at(blocked.join("monitor.toml")).save(&Marks::default()).unwrap_err();
    assert!(error.to_string().contains("can't be written"), "{error}");
}

#[test]
fn a_room_is_kept_likewise() {
    let folder = tempfile::tempdir().unwrap();
    let file: KeptFile<Room> = KeptFile::at(folder.path().join("room.toml"));
    let room = Room {
        sides_m: [4.7, 4.1, 3.1],
        rt60_s: Some(0.35),
        from_wall_m: None,
        speakers_from_hz: Some(45.0),
    };
    file.save(&room).unwrap();
    assert_eq!(file.load().unwrap(), Some(room));
    std::fs::write(file.path(), "candlemark_room = 1\nsides_m = [4.7, 4.1, -3.1]\n").unwrap();
    let error = file.load().unwrap_err().to_string();
    assert!(error.contains("height") && error.contains("--keep"), "{error}");
}
