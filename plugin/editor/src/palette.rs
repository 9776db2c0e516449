//! The palettes: what the picture is painted with. Each colour has one meaning, and nothing is told by it alone:
//! shape, place or a figure says the same.

use egui::{Color32, Theme};

/// Which colours the picture is painted with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Palette {
    /// Warm light on a dark ground, for a dark room.
    #[default]
    Lamp,
    /// Ink on paper, for a room in daylight.
    Paper,
}

/// The colours of a palette.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colours {
    /// Behind everything.
    pub background: Color32,
    /// Behind the song strip, in the candle's wax, in the picker.
    pub raised: Color32,
    /// Lines of a scale.
    pub grid: Color32,
    /// Zero lines, and rules under headings.
    pub rule: Color32,
    /// Where the records lie, and the pass before.
    pub wire: Color32,
    /// Notes, labels and scales.
    pub note: Color32,
    /// Figures, headings, and the song as it is.
    pub ink: Color32,
    /// Mono, overs, and time that is up.
    pub accent: Color32,
    /// Outside the records.
    pub outside: Color32,
}

const LAMP: Colours = Colours {
    background: Color32::from_rgb(0x1C, 0x19, 0x17),
    raised: Color32::from_rgb(0x24, 0x20, 0x19),
    grid: Color32::from_rgb(0x32, 0x2C, 0x25),
    rule: Color32::from_rgb(0x4A, 0x41, 0x36),
    wire: Color32::from_rgb(0x6E, 0x63, 0x52),
    note: Color32::from_rgb(0xA9, 0x9C, 0x86),
    ink: Color32::from_rgb(0xED, 0xE2, 0xCC),
    accent: Color32::from_rgb(0xE8, 0x92, 0x3F),
    outside: Color32::from_rgb(0x8C, 0xC3, 0xDE),
};

const PAPER: Colours = Colours {
    background: Color32::from_rgb(0xEF, 0xE7, 0xD6),
    raised: Color32::from_rgb(0xE6, 0xDC, 0xC6),
    grid: Color32::from_rgb(0xD6, 0xCB, 0xB4),
    rule: Color32::from_rgb(0xBB, 0xAF, 0x98),
    wire: Color32::from_rgb(0xA2, 0x96, 0x7E),
    note: Color32::from_rgb(0x5F, 0x5A, 0x4E),
    ink: Color32::from_rgb(0x23, 0x2D, 0x35),
    accent: Color32::from_rgb(0x9A, 0x41, 0x16),
    outside: Color32::from_rgb(0x1F, 0x58, 0x78),
};

/// [`PAPER`] where it stays lit in a dimmed picture: a ground that does not glare, and darker ink.
const PAPER_AT_DUSK: Colours = Colours {
    background: Color32::from_rgb(0x9C, 0x94, 0x81),
    raised: Color32::from_rgb(0x96, 0x8D, 0x7A),
    grid: Color32::from_rgb(0x8D, 0x84, 0x71),
    rule: Color32::from_rgb(0x84, 0x7A, 0x68),
    wire: Color32::from_rgb(0x60, 0x58, 0x49),
    note: Color32::from_rgb(0x1B, 0x19, 0x14),
    ink: Color32::from_rgb(0x08, 0x0B, 0x0E),
    accent: Color32::from_rgb(0x3A, 0x12, 0x02),
    outside: Color32::from_rgb(0x06, 0x1D, 0x2B),
};

/// [`PAPER`] where it stays lit in a picture that is darker than dusk: light letters on a ground that is no brighter than
/// what is dimmed around it.
const PAPER_AT_NIGHT: Colours = Colours {
    background: Color32::from_rgb(0x32, 0x30, 0x2B),
    raised: Color32::from_rgb(0x3C, 0x39, 0x33),
    grid: Color32::from_rgb(0x48, 0x45, 0x3D),
    rule: Color32::from_rgb(0x66, 0x61, 0x56),
    wire: Color32::from_rgb(0x92, 0x8A, 0x78),
    note: Color32::from_rgb(0xD2, 0xC9, 0xB6),
    ink: Color32::from_rgb(0xF0, 0xE8, 0xD8),
    accent: Color32::from_rgb(0xF2, 0xB0, 0x70),
    outside: Color32::from_rgb(0xA6, 0xD3, 0xEA),
};

/// Steps from full light to dusk (ours): more than an eye tells.
const STEPS: usize = 16;
/// So bright, 0 to 1, it is dusk, and night below (ours): there the ground of dusk is as bright as what is dimmed around
/// it, and no ground between it and that of night lets both dark and light letters stand out.
const DUSK_SHARE: f64 = 0.66;

/// [`PAPER`] on its way to dusk.
const PAPER_STEPS: [Colours; STEPS + 1] = {
    let mut steps = [PAPER; STEPS + 1];
    let mut step = 0;
    while step <= STEPS {
        steps[step] = Colours {
            background: between(PAPER.background, PAPER_AT_DUSK.background, step),
            raised: between(PAPER.raised, PAPER_AT_DUSK.raised, step),
            grid: between(PAPER.grid, PAPER_AT_DUSK.grid, step),
            rule: between(PAPER.rule, PAPER_AT_DUSK.rule, step),
            wire: between(PAPER.wire, PAPER_AT_DUSK.wire, step),
            note: between(PAPER.note, PAPER_AT_DUSK.note, step),
            ink: between(PAPER.ink, PAPER_AT_DUSK.ink, step),
            accent: between(PAPER.accent, PAPER_AT_DUSK.accent, step),
            outside: between(PAPER.outside, PAPER_AT_DUSK.outside, step),
        };
        step += 1;
    }
    steps
};

const fn between(day: Color32, dusk: Color32, step: usize) -> Color32 {
    const fn channel(day: u8, dusk: u8, step: usize) -> u8 {
        ((day as usize * (STEPS - step) + dusk as usize * step) / STEPS) as u8
    }
    Color32::from_rgb(
        channel(day.r(), dusk.r(), step),
        channel(day.g(), dusk.g(), step),
        channel(day.b(), dusk.b(), step),
    )
}

impl Palette {
    /// Every palette, in the order in which they are offered.
    pub const ALL: [Self; 2] = [Self::Lamp, Self::Paper];

    /// Its name in lower case, as the person reads it and as it is kept.
    pub fn name(self) -> &'static str {
        match self {
            Self::Lamp => "lamp",
            Self::Paper => "paper",
        }
    }

    /// Its colours.
    pub const fn colours(self) -> &'static Colours {
        match self {
            Self::Lamp => &LAMP,
            Self::Paper => &PAPER,
        }
    }

    /// The colours of what stays lit while the rest is so bright, 0 to 1: the same on a dark ground, darker on a bright
    /// one.
    pub fn lit_while_dimmed(self, bright_share: f64) -> &'static Colours {
        match self {
            Self::Lamp => &LAMP,
            Self::Paper if bright_share < DUSK_SHARE => &PAPER_AT_NIGHT,
            Self::Paper => {
                let dark_share = ((1.0 - bright_share) / (1.0 - DUSK_SHARE)).clamp(0.0, 1.0);
                &PAPER_STEPS[(dark_share * STEPS as f64).round() as usize]
            }
        }
    }

    /// Which of egui's own looks it is kept under.
    pub(crate) fn theme(self) -> Theme {
        match self {
            Self::Lamp => Theme::Dark,
            Self::Paper => Theme::Light,
        }
    }
}

impl Colours {
    /// Every pair of text and ground that the picture may hold, by name, while nothing is dimmed. In the dimmed
    /// picture contrast is lower, on purpose: the candle and what it has to say stay as they are.
    pub fn text_on_ground(&self) -> [(&'static str, Color32, Color32); 14] {
        [
            ("note on background", self.note, self.background),
            ("ink on background", self.ink, self.background),
            ("accent on background", self.accent, self.background),
            ("outside on background", self.outside, self.background),
            ("note on raised", self.note, self.raised),
            ("ink on raised", self.ink, self.raised),
            ("accent on raised", self.accent, self.raised),
            ("outside on raised", self.outside, self.raised),
            ("ink on grid", self.ink, self.grid),
            ("ink on rule", self.ink, self.rule),
            ("background on accent", self.background, self.accent),
            ("background on outside", self.background, self.outside),
            ("background on note", self.background, self.note),
            ("background on ink", self.background, self.ink),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::contrast;

    /// At 100 % nothing is dimmed.
    #[test]
    fn what_is_lit_while_the_rest_is_dimmed_stands_out_all_the_way() {
        for palette in Palette::ALL {
            for percent in 0..=100 {
                let colours = palette.lit_while_dimmed(f64::from(percent) / 100.0);
                for (name, text, ground) in colours.text_on_ground() {
                    let ratio = contrast::ratio(text, ground);
                    assert!(
                        ratio >= contrast::LEAST_OF_TEXT,
                        "{} at {percent} %: {name}: {ratio:.2}",
                        palette.name()
                    );
                }
            }
        }
    }
}
