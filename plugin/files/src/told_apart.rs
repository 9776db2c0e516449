//! Names of several files, by which they are told apart.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// What to call each of these files beside the others: its name, and of those that share one so much of the path before it
/// as tells them apart. A file that is named twice has the whole of its path.
pub fn told_apart<P: AsRef<Path>>(paths: &[P]) -> Vec<String> {
    let parts: Vec<Vec<&OsStr>> = paths.iter().map(|path| path.as_ref().iter().collect()).collect();
    let name = |own: &Vec<&OsStr>| {
        let is_alone = |count: &usize| {
            let alike = parts.iter().filter(|other| ending(other, *count) == ending(own, *count));
            alike.count() == 1
        };
        let count = (1..own.len()).find(is_alone).unwrap_or(own.len());
        ending(own, count).iter().collect::<PathBuf>().display().to_string()
    };
    parts.iter().map(name).collect()
}

/// The last so many parts of a path, or all of it.
fn ending<'a, 'b>(parts: &'a [&'b OsStr], count: usize) -> &'a [&'b OsStr] {
    &parts[parts.len().saturating_sub(count)..]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(paths: &[&str]) -> Vec<String> {
        // As this system writes them.
        told_apart(paths).iter().map(|name| name.replace('\\', "/")).collect()
    }

    #[test]
    fn a_file_goes_by_its_name_unless_another_has_it() {
        assert_eq!(names(&["/songs/a.wav", "b.wav"]), ["a.wav", "b.wav"]);
        assert_eq!(names(&["a/mix.wav", "other.wav", "b/mix.wav"]), ["a/mix.wav", "other.wav", "b/mix.wav"]);
        assert_eq!(names(&[]), [] as [&str; 0]);
    }

    #[test]
    fn no_more_of_the_path_is_said_than_tells_them_apart() {
        assert_eq!(names(&["/x/y/one/mix.wav", "/x/y/two/mix.wav"]), ["one/mix.wav", "two/mix.wav"]);
        assert_eq!(
            names(&["/x/one/out/mix.wav", "/x/two/out/mix.wav", "/x/two/in/mix.wav"]),
            ["one/out/mix.wav", "two/out/mix.wav", "in/mix.wav"]
        );
        assert_eq!(names(&["mix.wav", "a/mix.wav"]), ["mix.wav", "a/mix.wav"]);
        assert_eq!(names(&["/mix.wav", "/a/mix.wav"]), ["/mix.wav", "a/mix.wav"]);
    }

    #[test]
    fn one_that_is_named_twice_is_the_same_one() {
        assert_eq!(names(&["x/a/mix.wav", "x/a/mix.wav"]), ["x/a/mix.wav"; 2]);
    }
}
