//! Every crate takes the workspace's lints, and the workspace denies `unsafe`.

use toml::{Table, Value};

use crate::sources;

fn table(text: &str) -> Table {
    text.parse().unwrap_or_else(|error| panic!("a manifest can't be read: {error}"))
}

fn at<'a>(manifest: &'a Table, keys: &[&str]) -> Option<&'a Value> {
    let (first, rest) = keys.split_first()?;
    rest.iter().try_fold(manifest.get(*first)?, |value, key| value.get(key))
}

fn takes_the_workspaces_lints(manifest: &Table) -> bool {
    at(manifest, &["lints", "workspace"]) == Some(&Value::Boolean(true))
}

fn denies_unsafe(workspace: &Table) -> bool {
    let level = at(workspace, &["workspace", "lints", "rust", "unsafe_code"]).and_then(Value::as_str);
    matches!(level, Some("deny" | "forbid"))
}

fn workspace_manifest() -> Table {
    table(&sources::read("Cargo.toml"))
}

#[test]
fn the_workspace_denies_unsafe() {
    assert!(denies_unsafe(&workspace_manifest()));
}

#[test]
fn every_crate_takes_the_workspaces_lints() {
    let workspace = workspace_manifest();
    let members =
        at(&workspace, &["workspace", "members"]).and_then(Value::as_array).expect("it has members");
    let mut breaches = Vec::new();
    for member in members {
        let path = format!("{}/Cargo.toml", member.as_str().expect("a member is a path"));
        if !takes_the_workspaces_lints(&table(&sources::read(&path))) {
            breaches.push(format!("{path} has no `lints.workspace = true`"));
        }
    }
    sources::hold("crates with lints of their own", &breaches);
}

#[test]
fn the_law_fails_on_bad_samples() {
    assert!(!takes_the_workspaces_lints(&table("[package]\nname = \"x\"")));
    assert!(!takes_the_workspaces_lints(&table("[lints]\nworkspace = false")));
    assert!(!takes_the_workspaces_lints(&table("[lints.rust]\nunsafe_code = \"allow\"")));
    assert!(!denies_unsafe(&table("[workspace.lints.rust]\nunsafe_code = \"warn\"")));
}
