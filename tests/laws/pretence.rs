//! Nothing is left unfinished, and no test is left out.

use crate::sources::{self, Source};
use crate::tokens::tokens;

fn breaches(source: &Source) -> Vec<String> {
    let row = tokens(source);
    let mut breaches = Vec::new();
    for i in 0..row.len() {
        let text = |offset: usize| row.get(i + offset).map_or("", |token| token.text.as_str());
        let what = match (text(0), text(1), text(2)) {
            (name @ ("todo" | "unimplemented"), "!", _) => format!("`{name}!`"),
            ("#", "[", "ignore") => "a test that is left out".to_owned(),
            _ => continue,
        };
        breaches.push(format!("{}:{} holds {what}", source.path, row[i].line));
    }
    breaches
}

#[test]
fn nothing_is_unfinished_or_left_out() {
    let breaches: Vec<String> = sources::all_rust().iter().flat_map(breaches).collect();
    sources::hold("unfinished code or tests that are left out", &breaches);
}

#[test]
fn the_law_fails_on_bad_samples() {
    for bad in [
        "fn f() { todo!() }",
        "fn f() { unimplemented!(\"later\") }",
        "#[test]\n#[ignore = \"slow\"]\nfn f() {}",
    ] {
        assert_eq!(breaches(&Source::sample("x.rs", bad)).len(), 1, "{bad}");
    }
    assert!(breaches(&Source::sample("x.rs", "// todo!()\nfn todo() { ignore(1) }")).is_empty());
}
