//! No file of the project names a place on somebody's machine, or the host of a package registry; and what a page links to
//! within the project is there.

use std::path::Path;

use candlemark_tests::paths;

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

/// What a page links to that is no file beside it.
fn dead_links(page: &Source, is_there: impl Fn(&Path) -> bool) -> Vec<String> {
    let folder = Path::new(&page.path).parent().unwrap_or(Path::new(""));
    let links = page.text.split("](").skip(1).filter_map(|rest| rest.split(')').next());
    let paths = links.map(|link| link.split('#').next().unwrap_or_default());
    let within = paths.filter(|path| !path.is_empty() && !path.contains("://"));
    within.filter(|path| !is_there(&folder.join(path))).map(|path| format!("{}: {path}", page.path)).collect()
}

#[test]
fn what_a_page_links_to_is_there() {
    let pages: Vec<Source> = sources::all_below("")
        .into_iter()
        .filter(|source| Path::new(&source.path).extension().is_some_and(|ending| ending == "md"))
        .collect();
    assert!(pages.len() > 10, "only {} pages were found", pages.len());
    let is_there = |path: &Path| paths::workspace().join(path).exists();
    let dead: Vec<String> = pages.iter().flat_map(|page| dead_links(page, is_there)).collect();
    sources::hold("links to what is not there", &dead);
}

#[test]
fn a_dead_link_is_seen() {
    let page = Source::sample(
        "docs/guide/a.md",
        "See [b](b.md), [c](../c.md#part), [x](https://x.example) and [d](#d).",
    );
    assert_eq!(dead_links(&page, |path| path == Path::new("docs/guide/b.md")), ["docs/guide/a.md: ../c.md"]);
}

#[test]
fn the_law_fails_on_bad_samples() {
    for (front, back, _) in FORBIDDEN {
        let sample = Source::sample("docs/guide.md", &format!("First line.\nSee {front}{back}thing."));
        assert_eq!(breaches(&sample).len(), 1, "{front}{back}");
    }
    assert!(breaches(&Source::sample("docs/guide.md", "Plugins go into ~/.clap; works/or not.")).is_empty());
}
