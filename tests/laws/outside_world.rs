//! Law 1, in the sources: `analysis` and `session` touch no file, thread, clock, network or process. And no room at all
//! touches a network, or starts a program.

use crate::sources::{self, Source};
use crate::tokens::{Token, tokens};

/// Modules of the standard library that reach out of a computation.
const FORBIDDEN: [&str; 7] = ["env", "fs", "io", "net", "process", "thread", "time"];

/// What no room may touch, and the names in it that are harmless.
const FORBIDDEN_EVERYWHERE: [&str; 2] = ["net", "process"];
const HARMLESS: [&str; 6] = ["id", "exit", "abort", "ExitCode", "Termination", "self"];

fn breaches(source: &Source) -> Vec<String> {
    breaches_of(source, &FORBIDDEN)
}

/// Where a source of any room reaches a network or another program.
fn far_breaches(source: &Source) -> Vec<String> {
    let row = tokens(source);
    let mut breaches = breaches_of(source, &FORBIDDEN_EVERYWHERE);
    // `process::exit` and its like end this program and start none.
    let is_harmless = |line: usize| {
        let after = row.windows(4).filter(|four| four[0].line == line && four[0].text == "process");
        let mut names = after.map(|four| four[3].text.as_str()).peekable();
        names.peek().is_some() && names.all(|name| HARMLESS.contains(&name))
    };
    breaches.retain(|breach| {
        let line = breach.split(':').nth(1).and_then(|rest| rest.split(' ').next()?.parse().ok());
        !(breach.contains("std::process") && line.is_some_and(is_harmless))
    });
    for name in row.iter().filter(|token| token.text.starts_with("Unix") && token.text.ends_with("Stream")) {
        breaches.push(format!("{}:{} uses a socket", source.path, name.line));
    }
    breaches
}

fn breaches_of(source: &Source, forbidden: &[&str]) -> Vec<String> {
    let row = tokens(source);
    let mut breaches = Vec::new();
    for i in 0..row.len() {
        // `time::Duration` would be harmless; time is passed in as seconds all the same.
        if row[i].text != "std" {
            continue;
        }
        if texts(&row, i + 1, 1) == ["as"] {
            breaches.push(format!(
                "{}:{} renames `std`, which hides what it is used for",
                source.path, row[i].line
            ));
        }
        if texts(&row, i + 1, 2) == [":", ":"] {
            for name in names_after(&row, i + 3) {
                if forbidden.contains(&name.text.as_str()) || name.text == "*" {
                    breaches.push(format!("{}:{} uses `std::{}`", source.path, name.line, name.text));
                }
            }
        }
    }
    breaches
}

fn texts(row: &[Token], from: usize, count: usize) -> Vec<&str> {
    row.iter().skip(from).take(count).map(|token| token.text.as_str()).collect()
}

/// The modules named after `std::`: one, or those in braces (not what is named inside of them).
fn names_after(row: &[Token], from: usize) -> Vec<&Token> {
    let Some(first) = row.get(from) else { return Vec::new() };
    if first.text != "{" {
        return vec![first];
    }
    let mut names = Vec::new();
    let mut depth = 0_usize;
    let mut begins = false;
    for token in &row[from..] {
        match token.text.as_str() {
            "{" => {
                depth += 1;
                begins = depth == 1;
            }
            "}" => {
                depth -= 1;
                if depth == 0 {
                    break;
                }
            }
            "," if depth == 1 => begins = true,
            _ if begins => {
                names.push(token);
                begins = false;
            }
            _ => {}
        }
    }
    names
}

#[test]
fn analysis_and_session_reach_for_nothing_outside() {
    let mut all = sources::rust_below("plugin/analysis/src");
    all.extend(sources::rust_below("plugin/session/src"));
    let breaches: Vec<String> = all.iter().flat_map(breaches).collect();
    sources::hold("`analysis` or `session` reaches out", &breaches);
}

#[test]
fn no_room_reaches_a_network_or_starts_a_program() {
    let all = sources::rust_below("plugin").into_iter().filter(|source| source.path.contains("/src/"));
    let breaches: Vec<String> = all.flat_map(|source| far_breaches(&source)).collect();
    sources::hold("a room reaches a network or another program", &breaches);
}

#[test]
fn the_law_of_the_network_fails_on_bad_samples() {
    for bad in [
        "use std::net::TcpStream;",
        "use std::process::Command;",
        "fn f() { std::process::Command::new(\"sh\"); }",
        "use std::{io, net};",
        "use std::os::unix::net::UnixStream;",
    ] {
        assert!(!far_breaches(&Source::sample("x.rs", bad)).is_empty(), "{bad}");
    }
    for good in ["use std::process::ExitCode;", "fn f() { std::process::exit(2) }", "use std::fs::File;"] {
        assert!(far_breaches(&Source::sample("x.rs", good)).is_empty(), "{good}");
    }
}

#[test]
fn the_law_fails_on_bad_samples() {
    for bad in [
        "use std::fs;",
        "use std::fs::File;",
        "use std::{collections::BTreeMap, io::{self, Read}};",
        "fn f() { let now = std::time::Instant::now(); }",
        "fn f() { log!(std::env::var(\"HOME\")); }",
        "use std as elsewhere;",
        "use ::std::thread::spawn;",
        "use std::*;",
    ] {
        assert_eq!(breaches(&Source::sample("x.rs", bad)).len(), 1, "{bad}");
    }
}

#[test]
fn what_only_computes_is_no_breach() {
    let good =
        "use std::{collections::BTreeMap, fmt};\n// std::fs\nfn f() { let time = std::f64::consts::PI; }";
    assert!(breaches(&Source::sample("x.rs", good)).is_empty());
}
