//! Law 1 and the house: arrows between rooms point down, and `analysis` and `session` stand on nothing
//! that reaches out of a computation.

use std::collections::{BTreeMap, BTreeSet};

use candlemark_tests::paths;
use cargo_metadata::{DependencyKind, MetadataCommand};

use crate::sources;

/// The rooms from top to bottom. A room may know those below it.
const ROOMS: [&str; 9] =
    ["window", "shell", "command", "editor", "clerk", "files", "session", "handoff", "analysis"];

/// What a room must not know though it lies below, with the reason.
const NOT_KNOWN: [(&str, &str, &str); 5] = [
    ("editor", "clerk", "it paints a view, whoever made it"),
    ("editor", "files", "it knows no files"),
    ("editor", "handoff", "it knows no audio"),
    ("command", "editor", "it links no window system"),
    ("session", "handoff", "plain values in, plain values out"),
];

/// Who may use a crate directly.
const KEPT_TO: [(&str, &[&str]); 8] = [
    ("alsa", &["window"]),
    ("cpal", &["window"]),
    ("jack", &["window"]),
    ("nice-plug", &["shell", "window"]),
    ("nice-plug-egui", &["shell"]),
    ("egui", &["shell", "editor"]),
    ("symphonia", &["files"]),
    ("atomic_float", &["handoff"]),
];

/// All that `analysis` may stand on, with the reason.
const UNDER_ANALYSIS: [(&str, &str); 24] = [
    ("serde", "figures can be written down by who does files"),
    ("serde_core", "the traits of serde"),
    ("serde_derive", "serde: writes code when it is built"),
    ("rustfft", "the transforms behind the third octaves"),
    ("num-complex", "their complex numbers"),
    ("num-integer", "rustfft: arithmetic of whole numbers"),
    ("num-traits", "rustfft: numbers of either precision"),
    ("libm", "pulp: arithmetic where the standard library has none"),
    ("primal-check", "rustfft: which lengths are prime"),
    ("strength_reduce", "rustfft: fast division by a fixed number"),
    ("transpose", "rustfft: turning tables"),
    ("pulp", "vector instructions, chosen at run time"),
    ("pulp-wasm-simd-flag", "pulp: a switch for one target"),
    ("raw-cpuid", "pulp: which vector instructions there are"),
    ("bitflags", "raw-cpuid: sets of flags"),
    ("bytemuck", "pulp: plain values seen as vectors"),
    ("reborrow", "pulp: lending of slices"),
    ("cfg-if", "pulp: choice of code by target"),
    ("paste", "pulp: writes code when it is built"),
    ("bytemuck_derive", "bytemuck: writes code when it is built"),
    ("proc-macro2", "runs only when code is built"),
    ("quote", "runs only when code is built"),
    ("syn", "runs only when code is built"),
    ("unicode-ident", "runs only when code is built"),
];

/// What `session` may stand on besides, with the reason.
const UNDER_SESSION: [(&str, &str); 3] = [
    ("candlemark-analysis", "the room below"),
    ("thiserror", "its error types"),
    ("thiserror-impl", "thiserror: writes code when it is built"),
];

/// Crates by name, each with the names of the crates it depends on when it is built for use.
type Graph = BTreeMap<String, BTreeSet<String>>;

/// The dependency tree, for every system.
fn graph() -> Graph {
    let metadata = MetadataCommand::new()
        .manifest_path(paths::workspace().join("Cargo.toml"))
        .other_options(["--locked".to_owned()])
        .exec()
        .expect("cargo tells the dependency tree");
    let name = |id| metadata[id].name.to_string();
    let resolve = metadata.resolve.as_ref().expect("the dependency tree is resolved");
    let mut graph = Graph::new();
    for node in &resolve.nodes {
        let needed = node
            .deps
            .iter()
            .filter(|dep| dep.dep_kinds.iter().any(|kind| kind.kind == DependencyKind::Normal));
        graph.entry(name(&node.id)).or_default().extend(needed.map(|dep| name(&dep.pkg)));
    }
    graph
}

fn package(room: &str) -> String {
    format!("candlemark-{room}")
}

fn room(package: &str) -> Option<&str> {
    package.strip_prefix("candlemark-").filter(|room| !["tests", "demo", "fuzz"].contains(room))
}

/// Everything below `package`, itself not.
fn below(graph: &Graph, package: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut open = vec![package.to_owned()];
    while let Some(next) = open.pop() {
        let deps = graph.get(&next).unwrap_or_else(|| panic!("{next} is not in the dependency tree"));
        open.extend(deps.iter().filter(|dep| found.insert((*dep).clone())).cloned());
    }
    found
}

/// Breaches of an allow list: what stands on it unlisted, and what is listed and not there any more.
fn unlisted(graph: &Graph, package: &str, allowed: &BTreeSet<&str>) -> Vec<String> {
    let found = below(graph, package);
    let strangers = found.iter().filter(|name| !allowed.contains(name.as_str()));
    let gone = allowed.iter().filter(|name| !found.contains(**name));
    strangers
        .map(|name| format!("{package} stands on {name}, which is not on its list"))
        .chain(gone.map(|name| format!("{name} is on the list of {package}, which does not stand on it")))
        .collect()
}

fn upward(graph: &Graph) -> Vec<String> {
    let rank = |room: &str| ROOMS.iter().position(|name| *name == room);
    let mut breaches = Vec::new();
    for (package, deps) in graph {
        let Some(from) = room(package) else { continue };
        let Some(from_rank) = rank(from) else {
            breaches.push(format!("{from} is no room of the house"));
            continue;
        };
        for to in deps.iter().filter(|dep| dep.starts_with("candlemark-")) {
            let to_room = room(to);
            if to_room.and_then(rank).is_none_or(|to_rank| to_rank <= from_rank) {
                breaches.push(format!("{from} knows {to}, which is not below it"));
            }
            for (_, _, reason) in NOT_KNOWN.iter().filter(|(f, t, _)| *f == from && Some(*t) == to_room) {
                breaches.push(format!("{from} knows {to}, though {reason}"));
            }
        }
    }
    breaches
}

fn not_kept(graph: &Graph) -> Vec<String> {
    let mut breaches = Vec::new();
    for (package, deps) in graph {
        let Some(room) = room(package) else { continue };
        for (kept, by) in KEPT_TO.iter().filter(|(kept, _)| deps.contains(*kept)) {
            if !by.contains(&room) {
                breaches.push(format!("{room} uses {kept}, which is kept to {}", by.join(" and ")));
            }
        }
    }
    breaches
}

/// Crates of sound systems, whose headers it takes to build them, below any package but the desktop window.
fn sound_systems(graph: &Graph) -> Vec<String> {
    const SYSTEMS: [&str; 4] = ["cpal", "jack", "alsa", "coreaudio"];
    let is_one = |name: &str| SYSTEMS.iter().any(|system| name.starts_with(system));
    graph
        .keys()
        .filter(|package| package.starts_with("candlemark-") || *package == "xtask")
        .filter(|package| **package != self::package("window"))
        .flat_map(|package| below(graph, package).into_iter().map(move |name| (package, name)))
        .filter(|(_, name)| is_one(name))
        .map(|(package, name)| format!("{package} links {name}"))
        .collect()
}

/// Crates of hosts, windows and sound systems, which the command must not link.
fn not_for_the_command(graph: &Graph) -> Vec<String> {
    const FRONTS: [&str; 9] =
        ["nice-plug", "egui", "baseview", "winit", "x11", "wayland", "cpal", "jack", "alsa"];
    below(graph, &package("command"))
        .into_iter()
        .filter(|name| FRONTS.iter().any(|front| name.starts_with(front)))
        .map(|name| format!("command links {name}"))
        .collect()
}

#[test]
fn analysis_stands_on_what_its_list_allows() {
    let allowed = UNDER_ANALYSIS.iter().map(|(name, _)| *name).collect();
    sources::hold("under `analysis`", &unlisted(&graph(), &package("analysis"), &allowed));
}

#[test]
fn session_stands_on_what_its_list_allows() {
    let allowed = UNDER_ANALYSIS.iter().chain(&UNDER_SESSION).map(|(name, _)| *name).collect();
    sources::hold("under `session`", &unlisted(&graph(), &package("session"), &allowed));
}

#[test]
fn arrows_between_rooms_point_down() {
    let graph = graph();
    sources::hold("rooms that know what they must not", &[upward(&graph), not_kept(&graph)].concat());
}

#[test]
fn the_command_links_no_host_window_or_sound_system() {
    sources::hold("in the command", &not_for_the_command(&graph()));
}

#[test]
fn the_desktop_window_alone_links_a_sound_system() {
    sources::hold("outside of the desktop window", &sound_systems(&graph()));
    assert!(below(&graph(), &package("window")).contains("cpal"), "the window has none either");
}

#[test]
fn the_laws_fail_on_bad_samples() {
    let sample = |arrows: &[(&str, &str)]| {
        let mut graph = Graph::new();
        for (from, to) in arrows {
            graph.entry((*from).to_owned()).or_default().insert((*to).to_owned());
            graph.entry((*to).to_owned()).or_default();
        }
        graph
    };
    let hidden = sample(&[("candlemark-analysis", "rustfft"), ("rustfft", "cpal")]);
    let rustfft = BTreeSet::from(["rustfft"]);
    assert_eq!(unlisted(&hidden, "candlemark-analysis", &rustfft).len(), 1);
    let gone = sample(&[("candlemark-analysis", "rustfft")]);
    assert_eq!(unlisted(&gone, "candlemark-analysis", &BTreeSet::from(["rustfft", "pulp"])).len(), 1);

    assert_eq!(upward(&sample(&[("candlemark-analysis", "candlemark-session")])).len(), 1);
    assert_eq!(upward(&sample(&[("candlemark-editor", "candlemark-files")])).len(), 1);
    assert_eq!(upward(&sample(&[("candlemark-files", "candlemark-tests")])).len(), 1);
    assert_eq!(upward(&sample(&[("candlemark-attic", "serde")])).len(), 1);
    assert!(upward(&sample(&[("candlemark-files", "candlemark-session")])).is_empty());

    assert_eq!(not_kept(&sample(&[("candlemark-clerk", "nice-plug")])).len(), 1);
    assert_eq!(sound_systems(&sample(&[("candlemark-shell", "a"), ("a", "alsa-sys")])).len(), 1);
    assert!(sound_systems(&sample(&[("candlemark-window", "cpal"), ("cpal", "alsa")])).is_empty());
    assert_eq!(not_for_the_command(&sample(&[("candlemark-command", "a"), ("a", "egui")])).len(), 1);
}
