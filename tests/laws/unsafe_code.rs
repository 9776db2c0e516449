//! Law 2: `unsafe` stands nowhere but where the framework's traits ask for it, in one file of `shell`.

use crate::sources::{self, Source};
use crate::tokens::tokens;

/// The room whose one file may hold it.
const ALLOWED_BELOW: &str = "plugin/shell/src/";

/// Lines that hold the word, or that lift the lint against it.
fn lines_with_unsafe(source: &Source) -> Vec<usize> {
    tokens(source)
        .iter()
        .filter(|token| token.text == "unsafe" || token.text == "unsafe_code")
        .map(|token| token.line)
        .collect()
}

fn breaches(all: &[Source]) -> Vec<String> {
    let mut allowed: Option<&str> = None;
    let mut breaches = Vec::new();
    for source in all {
        let lines = lines_with_unsafe(source);
        let Some(line) = lines.first() else { continue };
        if !source.path.starts_with(ALLOWED_BELOW) {
            breaches.push(format!("{}:{line} holds `unsafe`", source.path));
        } else if let Some(first) = allowed {
            breaches
                .push(format!("{}:{line} holds `unsafe`, and so does {first}: one file may", source.path));
        } else {
            allowed = Some(&source.path);
            if !gives_a_reason(source) {
                breaches.push(format!("{}:{line} allows `unsafe_code` without `reason = …`", source.path));
            }
        }
    }
    breaches
}

/// Whether each lifting of the lint, `allow(unsafe_code, reason = …)`, gives its reason.
fn gives_a_reason(source: &Source) -> bool {
    let row = tokens(source);
    (0..row.len())
        .filter(|&i| row[i].text == "unsafe_code")
        .all(|i| row.get(i + 2).is_some_and(|token| token.text == "reason"))
}

#[test]
fn unsafe_stands_in_one_file_of_shell_at_most() {
    let mut all = sources::rust_below("plugin");
    all.extend(sources::rust_below("xtask"));
    sources::hold("`unsafe` where it must not be", &breaches(&all));
}

#[test]
fn the_law_fails_on_bad_samples() {
    let code = "fn f() { unsafe { g() } }";
    let elsewhere = Source::sample("plugin/analysis/src/fast.rs", code);
    assert_eq!(breaches(&[elsewhere]).len(), 1);
    let lifted = Source::sample("plugin/session/src/x.rs", "#![allow(unsafe_code, reason = \"speed\")]");
    assert_eq!(breaches(&[lifted]).len(), 1);
    let [one, other] =
        ["plugin/shell/src/a.rs", "plugin/shell/src/b.rs"].map(|path| Source::sample(path, code));
    assert_eq!(breaches(&[one, other]).len(), 1);
    let silent = Source::sample("plugin/shell/src/a.rs", "#![allow(unsafe_code)] unsafe impl A for B {}");
    assert_eq!(breaches(&[silent]).len(), 1);
}

#[test]
fn words_in_comments_and_strings_are_no_breach() {
    let harmless = Source::sample("plugin/files/src/x.rs", "// unsafe\nconst A: &str = \"unsafe\";");
    assert!(breaches(&[harmless]).is_empty());
}
