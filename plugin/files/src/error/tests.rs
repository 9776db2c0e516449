use super::*;

fn path() -> PathBuf {
    PathBuf::from("mixes/a.wav")
}

#[test]
fn a_message_names_the_file_what_is_wrong_where_and_what_to_do() {
    let error = FileError::Truncated { path: path(), read_s: 61.5, declared_s: Some(200.0) };
    let text = error.to_string();
    for part in ["a.wav", "too short", "61.500 s", "200.000 s", "anew"] {
        assert!(text.contains(part), "{part:?} is not in {text:?}");
    }

    let error =
        FileError::Damaged { path: path(), what: "a gap".into(), count: 3, at_s: Some(1.25), source: None };
    assert!(error.to_string().contains("in 3 places, the first at 1.250 s"), "{error}");

    let rate = FileError::UnsupportedRate { path: path(), rate: Hertz(7350.0) };
    assert!(rate.to_string().contains("7350 Hz; 8000 to 384000 Hz"), "{rate}");
}

#[test]
fn what_lies_underneath_is_chained() {
    use std::error::Error as _;
    let source = std::io::Error::from(std::io::ErrorKind::PermissionDenied);
    let error = FileError::of_reading(&path(), source);
    assert_eq!(error.kind(), "not-readable");
    assert!(error.source().unwrap().downcast_ref::<std::io::Error>().is_some());
}

#[test]
fn an_error_is_small_enough_to_be_returned() {
    assert!(size_of::<FileError>() <= 128, "{} bytes", size_of::<FileError>());
}
