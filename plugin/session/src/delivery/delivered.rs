//! A finished file beside a profile.

use super::{Finished, Line, Profile, Verdict};

/// A finished file beside a profile.
#[derive(Clone, Debug, PartialEq)]
pub struct Delivered<'a> {
    /// The profile.
    pub profile: &'a Profile,
    /// What the file makes of each of its limits, in their order.
    pub lines: Vec<Line>,
}

impl<'a> Delivered<'a> {
    /// Puts a file beside a profile.
    pub fn new(profile: &'a Profile, file: &Finished<'_>) -> Self {
        let lines = profile.limits.iter().map(|(figure, limit)| Line::new(*figure, limit, file)).collect();
        Self { profile, lines }
    }

    /// Whether every limit holds for certain.
    pub fn is_held(&self) -> bool {
        self.lines.iter().all(|line| line.verdict == Verdict::Held)
    }

    /// How many lines have each verdict, in words.
    pub fn tally(&self) -> String {
        let told = [Verdict::Held, Verdict::NotHeld, Verdict::CantTell].into_iter().filter_map(|verdict| {
            let count = self.lines.iter().filter(|line| line.verdict == verdict).count();
            (count > 0).then(|| format!("{count} {}", verdict.words()))
        });
        told.collect::<Vec<_>>().join(", ")
    }

    /// What is to be said of the profile itself.
    pub fn cautions(&self) -> Vec<&'a str> {
        let note = Some(self.profile.note.as_str()).filter(|note| !note.is_empty());
        self.profile.standing.words().into_iter().chain(note).collect()
    }
}
