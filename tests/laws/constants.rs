//! Law 6, as far as a machine can hold it: the comment beside a number with many digits in `analysis` says
//! which document it is from, or that it was found here, and how.

use syn::spanned::Spanned;
use syn::visit::{self, Visit};

use crate::sources::{self, Source};

/// From so many significant digits on, nobody takes a number for granted.
const DIGITS: usize = 4;

/// How far above a number, or above the constant that it belongs to, its source may be named; further in one
/// unbroken comment.
const LINES_ABOVE: usize = 6;

/// Where numbers come from.
const DOCUMENTS: [&str; 8] = [
    "BS.1770",
    "Tech 3341",
    "Tech 3342",
    "IEC 61260",
    "IEC 61672",
    "ISO 266",
    "ITU-R",
    "Oppenheim and Schafer",
];

/// Words of a comment that says that the number is the project's own, and how it was found.
const OWN: [&str; 2] = ["Designed", "Computed"];

/// Whether the literal is a whole power of two, as a word length gives it: no document is needed for that.
fn is_power_of_two(literal: &str) -> bool {
    let digits = literal.replace('_', "");
    let whole = digits.split('.').next().unwrap_or_default();
    whole.parse::<u64>().is_ok_and(u64::is_power_of_two) && digits.trim_end_matches('0').ends_with('.')
}

/// Significant digits of a float literal as it is written; trailing zeros (of a sample rate) are none.
fn significant_digits(literal: &str) -> usize {
    let mantissa = literal.split(['e', 'E']).next().unwrap_or_default();
    let mantissa = mantissa.strip_suffix("f64").or(mantissa.strip_suffix("f32")).unwrap_or(mantissa);
    let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    digits.trim_start_matches('0').trim_end_matches('0').len()
}

struct Scan<'a> {
    source: &'a Source,
    /// First line of the constant that is being looked at.
    constant: Option<usize>,
    breaches: Vec<String>,
}

impl Scan<'_> {
    /// Whether a source is named on a line (counted from 1) or above it.
    fn names_its_source(&self, line: usize) -> bool {
        let lines: Vec<&str> = self.source.text.lines().take(line).collect();
        let near = lines.iter().rev().enumerate();
        near.take_while(|(above, text)| *above <= LINES_ABOVE || text.trim_start().starts_with("//"))
            .filter_map(|(_, text)| text.split_once("//"))
            .any(|(_, comment)| DOCUMENTS.iter().chain(&OWN).any(|name| comment.contains(name)))
    }

    fn in_constant(&mut self, line: usize, look: impl FnOnce(&mut Self)) {
        let outer = self.constant.replace(line);
        look(self);
        self.constant = outer;
    }
}

fn is_for_tests(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        attribute.path().is_ident("cfg")
            && attribute.parse_args::<syn::Path>().is_ok_and(|condition| condition.is_ident("test"))
    })
}

/// The line of the item itself, below its doc comment and attributes.
fn own_line(visibility: &syn::Visibility, word: proc_macro2::Span) -> usize {
    match visibility {
        syn::Visibility::Inherited => word.start().line,
        visible => visible.span().start().line,
    }
}

impl<'ast> Visit<'ast> for Scan<'_> {
    fn visit_item_mod(&mut self, module: &'ast syn::ItemMod) {
        if !is_for_tests(&module.attrs) {
            visit::visit_item_mod(self, module);
        }
    }

    fn visit_item_const(&mut self, item: &'ast syn::ItemConst) {
        let line = own_line(&item.vis, item.const_token.span);
        self.in_constant(line, |scan| visit::visit_item_const(scan, item));
    }

    fn visit_impl_item_const(&mut self, item: &'ast syn::ImplItemConst) {
        let line = own_line(&item.vis, item.const_token.span);
        self.in_constant(line, |scan| visit::visit_impl_item_const(scan, item));
    }

    fn visit_item_static(&mut self, item: &'ast syn::ItemStatic) {
        let line = own_line(&item.vis, item.static_token.span);
        self.in_constant(line, |scan| visit::visit_item_static(scan, item));
    }

    fn visit_lit_float(&mut self, literal: &'ast syn::LitFloat) {
        let written = literal.to_string();
        if significant_digits(&written) < DIGITS || is_power_of_two(&written) {
            return;
        }
        let line = literal.span().start().line;
        if !self.names_its_source(self.constant.unwrap_or(line)) {
            self.breaches.push(format!("{}:{line}: nothing says where {written} is from", self.source.path));
        }
    }
}

fn breaches(source: &Source) -> Vec<String> {
    let mut scan = Scan { source, constant: None, breaches: Vec::new() };
    scan.visit_file(&source.parsed());
    scan.breaches
}

#[test]
fn numbers_of_analysis_name_their_document() {
    let sources = sources::rust_below("plugin/analysis/src");
    // What is for tests alone stands in a module of that name, in a file of its own or not.
    let measures = sources.iter().filter(|source| !source.path.ends_with("/tests.rs"));
    let breaches: Vec<String> = measures.flat_map(breaches).collect();
    sources::hold("numbers without a source", &breaches);
}

#[test]
fn significant_digits_are_those_that_matter() {
    for (literal, digits) in [
        ("0.0012", 2),
        ("48_000.0", 2),
        ("44100.0", 3),
        ("1.53512485958697", 15),
        ("-0.691", 3),
        ("1.2345e-9", 5),
    ] {
        assert_eq!(significant_digits(literal), digits, "{literal}");
    }
}

#[test]
fn the_law_fails_on_bad_samples() {
    let count = |text: &str| breaches(&Source::sample("x.rs", text)).len();
    assert_eq!(count("const GAIN: f64 = 1.5351;"), 1, "no comment");
    assert_eq!(count("/// A gain.\nconst GAIN: f64 = 1.5351;"), 1, "a comment that names nothing");
    assert_eq!(count("fn f() -> f64 {\n    // A gain.\n    1.5351\n}"), 1, "no constant either");
    assert_eq!(count("// BS.1770-5\n\n\n\n\n\n\n\nconst GAIN: f64 = 1.5351;"), 1, "too far above");
    assert_eq!(count("const TABLE: [f64; 2] = [1.5351, -2.6917];"), 2, "each number of a table");
    assert_eq!(count("const NAME: &str = \"BS.1770\";\nconst GAIN: f64 = 1.5351;"), 1, "a name in a string");
}

#[test]
fn a_named_source_satisfies_the_law() {
    let good = "/// A gain.\n///\n/// ITU-R BS.1770-5 (11/2023), Annex 1, table 1.\npub const GAIN: f64 = 1.5351;\n\
                fn f() -> f64 { 48_000.0 + 32_768.0 }\n\
                fn g() -> f64 {\n    // Tech 3342, clause 4.\n    1.5351\n}\n#[cfg(test)]\nmod tests { fn g() -> f64 { 1.2345 } }";
    assert!(breaches(&Source::sample("x.rs", good)).is_empty());
}
