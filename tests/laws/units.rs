//! Law 7: a public figure of a room that measures, keeps or tells has a newtype, or a name that ends in its
//! unit.

use syn::visit::{self, Visit};
use syn::{Fields, FnArg, ReturnType, Type, Visibility};

use crate::sources::{self, Source};

/// The ends of names, and names that are nothing but a unit.
const UNITS: [&str; 21] = [
    "amplitude",
    "share",
    "beats",
    "power",
    "seconds",
    "lufs",
    "lu",
    "dbtp",
    "dbfs",
    "db",
    "dba",
    "phon",
    "hz",
    "s",
    "ms",
    "minutes",
    "frames",
    "bpm",
    "m",
    "m3",
    "percent",
];

/// Figures that have no unit, with the reason.
const WITHOUT_UNIT: [(&str, &str); 6] = [
    ("correlation", "from −1 to 1 by definition"),
    ("coverage", "a ratio from 0 to 1"),
    ("dc_left", "full scale is 1; the name is that of the command's JSON"),
    ("dc_right", "full scale is 1; the name is that of the command's JSON"),
    ("fold_kept", "a ratio from 0 to 1"),
    ("kept", "a ratio from 0 to 1"),
];

/// The same, in one file alone.
const IN_ONE_FILE: [(&str, &str, &str); 42] = [
    ("plugin/session/src/room.rs", "expected_modes", "a number of modes, as an average has it"),
    ("plugin/session/src/edges.rs", "left", "samples, full scale ±1"),
    ("plugin/session/src/edges.rs", "right", "samples, full scale ±1"),
    ("plugin/session/src/delivery.rs", "lowest", "of the unit of the figure that is asked about"),
    ("plugin/session/src/delivery.rs", "highest", "of the unit of the figure that is asked about"),
    ("plugin/session/src/delivery.rs", "one_of", "of the unit of the figure that is asked about"),
    ("plugin/session/src/delivery.rs", "value", "of the unit of the figure that is asked about"),
    ("plugin/session/src/delivery.rs", "possible", "of the unit of the figure that is asked about"),
    ("plugin/session/src/delivery/lines.rs", "value", "of the unit of the figure beside it"),
    ("plugin/session/src/delivery/lines.rs", "distance", "of the unit of the figure beside it"),
    ("plugin/command/src/delivery_json.rs", "value", "of the unit in the name of the figure beside it"),
    ("plugin/command/src/delivery_json.rs", "distance", "of the unit in the name of the figure beside it"),
    ("plugin/command/src/delivery_json.rs", "lowest", "of the unit in the name of the figure beside it"),
    ("plugin/command/src/delivery_json.rs", "highest", "of the unit in the name of the figure beside it"),
    ("plugin/command/src/delivery_json.rs", "one_of", "of the unit in the name of the figure beside it"),
    ("plugin/session/src/remarks/meant.rs", "figure", "of the unit of the rule's limit"),
    ("plugin/analysis/src/multiply_add.rs", "a", "of any unit"),
    ("plugin/analysis/src/multiply_add.rs", "b", "of any unit"),
    ("plugin/analysis/src/multiply_add.rs", "sum", "of the unit of the product of both"),
    ("plugin/analysis/src/multiply_add.rs", "single", "of the unit of the product of both"),
    ("plugin/analysis/src/multiply_add.rs", "double", "of the unit of the product of both"),
    ("plugin/handoff/src/audition/fader.rs", "only", "samples, full scale ±1"),
    ("plugin/handoff/src/audition/fader.rs", "left", "samples, full scale ±1"),
    ("plugin/handoff/src/audition/fader.rs", "right", "samples, full scale ±1"),
    ("plugin/analysis/src/analyzer.rs", "left", "samples, full scale ±1"),
    ("plugin/analysis/src/analyzer.rs", "right", "samples, full scale ±1"),
    ("plugin/analysis/src/reading.rs", "left", "of the type Power: mean squares"),
    ("plugin/analysis/src/reading.rs", "right", "of the type Power: mean squares"),
    ("plugin/analysis/src/reading.rs", "mid", "of the type Power: mean squares"),
    ("plugin/analysis/src/reading.rs", "total", "of the type Power: a mean square"),
    ("plugin/analysis/src/reading.rs", "mean", "samples, full scale ±1"),
    ("plugin/analysis/src/reading.rs", "sample_peak", "an amplitude, as all peaks are until they are shown"),
    ("plugin/analysis/src/reading.rs", "true_peak", "an amplitude, as all peaks are until they are shown"),
    ("plugin/analysis/src/reading.rs", "true_peak_3s", "an amplitude, as all peaks are until they are shown"),
    ("plugin/files/src/decode.rs", "left", "samples, full scale ±1"),
    ("plugin/files/src/decode.rs", "right", "samples, full scale ±1"),
    ("plugin/files/src/decode.rs", "progress", "a ratio from 0 to 1"),
    ("plugin/session/src/statistics.rs", "ascending", "of any unit"),
    ("plugin/session/src/statistics.rs", "median", "of the unit of what it is taken of"),
    ("plugin/session/src/statistics.rs", "percentile", "of the unit of what it is taken of"),
    ("plugin/session/src/statistics.rs", "values", "of any unit"),
    ("plugin/session/src/words.rs", "value", "of any unit, which whoever writes it names beside it"),
];

fn carries_its_unit(path: &str, name: &str) -> bool {
    let end = name.rsplit('_').next().unwrap_or(name);
    UNITS.contains(&end)
        || WITHOUT_UNIT.iter().any(|(allowed, _)| name == *allowed)
        || IN_ONE_FILE.iter().any(|(file, allowed, _)| path == *file && name == *allowed)
}

/// Whether the type is a bare float, or an option, list, array or reference of such.
fn is_bare_figure(kind: &Type) -> bool {
    match kind {
        Type::Path(path) => path.path.segments.last().is_some_and(|segment| {
            if segment.ident == "f64" || segment.ident == "f32" {
                return true;
            }
            let wrapper = ["Option", "Vec", "Box", "Result"].iter().any(|name| segment.ident == name);
            let syn::PathArguments::AngleBracketed(arguments) = &segment.arguments else { return false };
            let inner = arguments.args.iter().find_map(|argument| match argument {
                syn::GenericArgument::Type(inner) => Some(inner),
                _ => None,
            });
            wrapper && inner.is_some_and(is_bare_figure)
        }),
        Type::Array(array) => is_bare_figure(&array.elem),
        Type::Slice(slice) => is_bare_figure(&slice.elem),
        Type::Reference(reference) => is_bare_figure(&reference.elem),
        Type::Tuple(tuple) => tuple.elems.iter().any(is_bare_figure),
        _ => false,
    }
}

struct Scan<'a> {
    source: &'a Source,
    breaches: Vec<String>,
}

impl Scan<'_> {
    fn judge(&mut self, what: &str, name: &syn::Ident, kind: &Type) {
        if is_bare_figure(kind) && !carries_its_unit(&self.source.path, &name.to_string()) {
            let line = name.span().start().line;
            self.breaches.push(format!("{}:{line}: {what} `{name}` does not say its unit", self.source.path));
        }
    }

    /// The fields that others see: those marked so, and all of what is written to JSON or TOML.
    fn judge_fields(&mut self, fields: &Fields, all_seen: bool) {
        for field in fields {
            let Some(name) = &field.ident else { continue };
            if all_seen || matches!(field.vis, Visibility::Public(_)) {
                self.judge("field", name, &field.ty);
            }
        }
    }

    fn judge_function(&mut self, visibility: Option<&Visibility>, signature: &syn::Signature) {
        if visibility.is_some_and(|visibility| !matches!(visibility, Visibility::Public(_))) {
            return;
        }
        if let ReturnType::Type(_, kind) = &signature.output {
            self.judge("function", &signature.ident, kind);
        }
        for input in &signature.inputs {
            if let FnArg::Typed(typed) = input
                && let syn::Pat::Ident(pattern) = &*typed.pat
            {
                self.judge("argument", &pattern.ident, &typed.ty);
            }
        }
    }
}

fn derives_serialize(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().filter(|attribute| attribute.path().is_ident("derive")).any(|attribute| {
        let mut found = false;
        // What can't be parsed here can't be compiled either.
        let _ = attribute.parse_nested_meta(|meta| {
            found |= meta.path.segments.last().is_some_and(|segment| segment.ident == "Serialize");
            Ok(())
        });
        found
    })
}

impl<'ast> Visit<'ast> for Scan<'_> {
    fn visit_item_mod(&mut self, module: &'ast syn::ItemMod) {
        if module.ident != "tests" {
            visit::visit_item_mod(self, module);
        }
    }

    fn visit_item_struct(&mut self, item: &'ast syn::ItemStruct) {
        self.judge_fields(&item.fields, derives_serialize(&item.attrs));
    }

    fn visit_item_enum(&mut self, item: &'ast syn::ItemEnum) {
        if matches!(item.vis, Visibility::Public(_)) {
            for variant in &item.variants {
                self.judge_fields(&variant.fields, true);
            }
        }
    }

    fn visit_item_const(&mut self, item: &'ast syn::ItemConst) {
        if matches!(item.vis, Visibility::Public(_)) {
            let name = syn::Ident::new(&item.ident.to_string().to_lowercase(), item.ident.span());
            self.judge("constant", &name, &item.ty);
        }
    }

    fn visit_item_fn(&mut self, item: &'ast syn::ItemFn) {
        self.judge_function(Some(&item.vis), &item.sig);
    }

    fn visit_impl_item_fn(&mut self, item: &'ast syn::ImplItemFn) {
        self.judge_function(Some(&item.vis), &item.sig);
    }

    fn visit_trait_item_fn(&mut self, item: &'ast syn::TraitItemFn) {
        self.judge_function(None, &item.sig);
    }
}

fn breaches(source: &Source) -> Vec<String> {
    let mut scan = Scan { source, breaches: Vec::new() };
    scan.visit_file(&source.parsed());
    scan.breaches
}

#[test]
fn public_figures_carry_their_unit() {
    let breaches: Vec<String> = [
        "plugin/analysis/src",
        "plugin/handoff/src",
        "plugin/session/src",
        "plugin/files/src",
        "plugin/command/src",
    ]
    .into_iter()
    .flat_map(sources::rust_below)
    .flat_map(|source| breaches(&source))
    .collect();
    sources::hold("figures without a unit", &breaches);
}

#[test]
fn the_law_fails_on_bad_samples() {
    for bad in [
        "pub struct A { pub loudness: f64 }",
        "pub struct A { pub loudness: Option<f32> }",
        "pub struct A { pub levels: Vec<[f64; 31]> }",
        "#[derive(Clone, serde::Serialize)] struct A { loudness: f64 }",
        "pub enum A { Found { loudness: f64 } }",
        "pub const LIMIT: f64 = -1.0;",
        "pub fn loudness() -> f64 { 0.0 }",
        "pub fn is_loud(level: f64) -> bool { level > 0.0 }",
        "struct A; impl A { pub fn loudness(&self) -> Option<f64> { None } }",
        "pub trait A { fn loudness(&self) -> f64; }",
    ] {
        assert_eq!(breaches(&Source::sample("x.rs", bad)).len(), 1, "{bad}");
    }
}

#[test]
fn units_and_newtypes_satisfy_the_law() {
    for good in [
        "pub struct A { pub loudness: Lufs, pub range_lu: Option<f64>, pub hz: f64, inner: f64 }",
        "pub fn duration_s(frames: u64) -> f64 { 0.0 }",
        "pub const LIMIT_DBTP: f64 = -1.0;",
        "fn inside(x: f64) -> f64 { x }",
    ] {
        assert!(breaches(&Source::sample("x.rs", good)).is_empty(), "{good}");
    }
}
