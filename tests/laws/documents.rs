//! No file of the project names a place on somebody's machine, or the host of a package registry.

use crate::sources::{self, Source};

/// Pieces that are only put together here, so that this file does not hold them itself.
const FORBIDDEN: [(&str, &str, &str); 9] = [
    ("/home", "/", "a path of a machine"),
    ("/root", "/", "a path of a machine"),
    ("/Users", "/", "a path of a machine"),
    ("/tmp", "/", "a path of a machine"),
    ("/work", "/", "a path of a machine"),
    ("crates", ".io", "a registry's host"),
    ("pypi", ".org", "a registry's host"),
    ("deb.debian", ".org", "a registry's host"),
    ("npmjs", ".com", "a registry's host"),
];

/// Written by cargo, and it must name the registry.
const GENERATED: [&str; 1] = ["Cargo.lock"];

fn breaches(source: &Source) -> Vec<String> {
    if GENERATED.contains(&source.path.as_str()) {
        return Vec::new();
    }
    let mut breaches = Vec::new();
    for (number, line) in source.text.lines().enumerate() {
        for (front, back, what) in FORBIDDEN {
            if line.contains(&format!("{front}{back}")) {
                breaches.push(format!("{}:{} names {what}: {}", source.path, number + 1, line.trim()));
            }
        }
    }
    breaches
}

#[test]
fn no_file_names_a_machines_path_or_a_registry() {
    let breaches: Vec<String> = sources::all_below("").iter().flat_map(breaches).collect();
    sources::hold("names of places outside the project", &breaches);
}

#[test]
fn the_law_fails_on_bad_samples() {
    for (front, back, _) in FORBIDDEN {
        let sample = Source::sample("docs/guide.md", &format!("First line.\nSee {front}{back}thing."));
        assert_eq!(breaches(&sample).len(), 1, "{front}{back}");
    }
    assert!(breaches(&Source::sample("docs/guide.md", "Plugins go into ~/.clap; works/or not.")).is_empty());
}
