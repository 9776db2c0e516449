//! The page that argues for every crate names those that the workspace names, and no others.

use std::collections::BTreeSet;

use toml::Table;

use crate::sources::read;

/// The page.
const PAGE: &str = "docs/decisions/0015-what-it-is-built-on.md";

/// The crates in the first column of the page's tables.
fn argued_for(page: &str) -> BTreeSet<String> {
    let rows = page.lines().filter_map(|line| line.strip_prefix("| `")?.split(" | ").next());
    rows.flat_map(|cell| cell.split('`').map(str::to_owned).collect::<Vec<_>>())
        .filter(|name| !name.is_empty() && *name != ", ")
        .collect()
}

/// The crates of others that the workspace's manifest names.
fn named(manifest: &str) -> BTreeSet<String> {
    let manifest: Table = manifest.parse().expect("the manifest is TOML");
    let all = manifest["workspace"]["dependencies"].as_table().expect("the workspace has dependencies");
    all.keys().filter(|name| !name.starts_with("candlemark-")).cloned().collect()
}

#[test]
fn every_crate_is_argued_for() {
    assert_eq!(argued_for(&read(PAGE)), named(&read("Cargo.toml")));
}

#[test]
fn the_law_fails_on_bad_samples() {
    let page = "| crate | why |\n|---|---|\n| `one`, `two` | both |\n";
    assert_eq!(argued_for(page), BTreeSet::from(["one".to_owned(), "two".to_owned()]));
    let manifest = "[workspace.dependencies]\none = \"1\"\ncandlemark-x = { path = \"x\" }\n";
    assert_ne!(argued_for(page), named(manifest));
}
