//! Taking a yardstick from files.

use std::collections::HashSet;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use candlemark_session::yardstick::{Record, Yardstick};

use crate::{FileError, Measured, measure_all, told_apart};

/// Takes a yardstick from files, each of which is a record by the name that tells it from the others, several at once. `progress` is told which file has been read how
/// far, as by [`measure_all`], and can break it off. The shelf is not touched.
///
/// # Errors
///
/// All that speaks against the files; one that can't be a record makes no yardstick of the others.
pub fn take<P: AsRef<Path> + Sync>(
    name: &str,
    files: &[P],
    progress: &(impl Fn(usize, f64) -> ControlFlow<()> + Sync),
) -> Result<Yardstick, Vec<FileError>> {
    // What can be refused at once is refused before minutes of measuring.
    let twice = named_twice(files);
    if !twice.is_empty() {
        return Err(twice);
    }
    let (mut records, mut troubles) = (Vec::new(), Vec::new());
    for ((path, title), result) in files.iter().zip(told_apart(files)).zip(measure_all(files, progress)) {
        match record(path.as_ref(), title, result) {
            Ok(record) => records.push(record),
            Err(more) => troubles.extend(more),
        }
    }
    if troubles.is_empty() { Ok(Yardstick { name: name.to_owned(), records }) } else { Err(troubles) }
}

/// Files that are named more than once, by whatever path.
fn named_twice<P: AsRef<Path>>(files: &[P]) -> Vec<FileError> {
    let mut seen = HashSet::new();
    let paths = files.iter().map(AsRef::as_ref);
    let twice =
        paths.filter(|path| !seen.insert(path.canonicalize().unwrap_or_else(|_| PathBuf::from(path))));
    twice.map(|path| FileError::NamedTwice { path: path.to_owned() }).collect()
}

/// The record that a file is, or all that speaks against it.
fn record(path: &Path, title: String, result: Result<Measured, FileError>) -> Result<Record, Vec<FileError>> {
    let measured = result.map_err(|error| vec![error])?;
    if !measured.troubles.is_empty() {
        return Err(measured.troubles);
    }
    Record::of(title, &measured.figures)
        .map_err(|why| vec![FileError::NotARecord { path: path.to_owned(), why }])
}

#[cfg(test)]
mod tests {
    use std::sync::Mutex;

    use super::*;
    use crate::test_sounds::{floats, wav};

    /// A sound file of some seconds of a tone.
    fn tone(folder: &Path, name: &str, seconds: u32) -> PathBuf {
        let path = folder.join(name);
        let samples = (0..seconds * 8000).flat_map(|n| [0.25 * (n as f32 * 0.3).sin(); 2]);
        std::fs::write(&path, wav(floats(2, 8000), samples)).unwrap();
        path
    }

    fn on(_: usize, _: f64) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }

    fn kinds(taken: Result<Yardstick, Vec<FileError>>) -> Vec<&'static str> {
        taken.unwrap_err().iter().map(FileError::kind).collect()
    }

    #[test]
    fn each_file_is_a_record_in_the_order_of_the_files() {
        let folder = tempfile::tempdir().unwrap();
        let files = ["b.wav", "a.wav", "c.wav"].map(|name| tone(folder.path(), name, 5));
        let told = Mutex::new([0.0; 3]);
        let yardstick = take("three", &files, &|file, share| {
            told.lock().unwrap()[file] = share;
            ControlFlow::Continue(())
        });
        let yardstick = yardstick.unwrap();
        assert_eq!(yardstick.name, "three");
        let titles: Vec<&str> = yardstick.records.iter().map(|record| record.title.as_str()).collect();
        assert_eq!(titles, ["b.wav", "a.wav", "c.wav"]);
        assert_eq!(*told.lock().unwrap(), [1.0; 3]);
    }

    #[test]
    fn all_that_speaks_against_the_files_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let [good, short] = [("good.wav", 5), ("short.wav", 2)].map(|(name, s)| tone(folder.path(), name, s));
        let missing = folder.path().join("missing.wav");
        assert_eq!(kinds(take("x", &[&good, &short, &missing], &on)), ["not-a-record", "missing"]);
        let another_way = folder.path().join(".").join("good.wav");
        assert_eq!(kinds(take("x", &[&good, &another_way], &on)), ["named-twice"]);
    }

    #[test]
    fn it_can_be_broken_off() {
        let folder = tempfile::tempdir().unwrap();
        let files = ["a.wav", "b.wav"].map(|name| tone(folder.path(), name, 5));
        let kinds = kinds(take("x", &files, &|_, _| ControlFlow::Break(())));
        assert_eq!(kinds, ["stopped", "stopped"]);
    }
}
