//! What lies where: the top level's few names, and files of one idea.

use candlemark_tests::paths;

use crate::sources::{self, Source};

/// What the top level may hold, beside dot files and the licence texts.
const TOP_LEVEL: [&str; 8] =
    ["Cargo.lock", "Cargo.toml", "DEVELOPERS.md", "README.md", "docs", "plugin", "tests", "xtask"];

/// Made by cargo and kept out of the repository.
const BUILT: &str = "target";

fn belongs_at_the_top(name: &str) -> bool {
    TOP_LEVEL.contains(&name) || name == BUILT || name.starts_with('.') || name.starts_with("LICENSE-")
}

/// A source of more lines than this holds more than one idea.
const LONGEST: usize = 400;

/// Longer files, with the reason.
const LONGER: [(&str, &str); 0] = [];

/// Names that say nothing about what is inside.
const EMPTY_NAMES: [&str; 8] = ["utils", "util", "helpers", "helper", "common", "manager", "misc", "stuff"];

fn breaches(source: &Source) -> Vec<String> {
    let mut breaches = Vec::new();
    let lines = source.text.lines().count();
    if lines > LONGEST && !LONGER.iter().any(|(path, _)| *path == source.path) {
        breaches.push(format!("{} has {lines} lines; {LONGEST} are enough for one idea", source.path));
    }
    for part in source.path.split('/') {
        let name = part.strip_suffix(".rs").unwrap_or(part);
        if EMPTY_NAMES.iter().any(|empty| name == *empty || name.ends_with(&format!("_{empty}"))) {
            breaches.push(format!("{}: `{name}` does not say what is inside", source.path));
        }
    }
    breaches
}

#[test]
fn the_top_level_holds_only_what_it_may() {
    let entries = paths::workspace().read_dir().expect("the workspace can be listed");
    let strangers: Vec<String> = entries
        .map(|entry| entry.expect("a folder's entry can be read").file_name().to_string_lossy().into_owned())
        .filter(|name| !belongs_at_the_top(name))
        .collect();
    sources::hold("at the top level, though it belongs elsewhere", &strangers);
}

#[test]
fn every_source_is_of_one_idea() {
    let breaches: Vec<String> = sources::all_rust().iter().flat_map(breaches).collect();
    sources::hold("sources of more than one idea", &breaches);
}

#[test]
fn the_laws_fail_on_bad_samples() {
    assert!(
        !belongs_at_the_top("src") && !belongs_at_the_top("deny.toml") && !belongs_at_the_top("notes.txt")
    );
    assert!(belongs_at_the_top(".ci") && belongs_at_the_top("LICENSE-MIT"));
    assert_eq!(breaches(&Source::sample("plugin/x/src/y.rs", &"//\n".repeat(LONGEST + 1))).len(), 1);
    assert!(breaches(&Source::sample("plugin/x/src/y.rs", &"//\n".repeat(LONGEST))).is_empty());
    for bad in ["plugin/x/src/utils.rs", "plugin/common/src/lib.rs", "tests/test_helpers.rs"] {
        assert_eq!(breaches(&Source::sample(bad, "")).len(), 1, "{bad}");
    }
}
