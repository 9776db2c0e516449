//! The lamp palette: what the picture is painted with. Each colour has one meaning, and nothing is told by it
//! alone: shape, place or a figure says the same.

use egui::Color32;

/// Behind everything.
pub const BACKGROUND: Color32 = Color32::from_rgb(0x1C, 0x19, 0x17);
/// Behind the song strip, in the candle's wax, in the picker.
pub const RAISED: Color32 = Color32::from_rgb(0x24, 0x20, 0x19);
/// Lines of a scale.
pub const GRID: Color32 = Color32::from_rgb(0x32, 0x2C, 0x25);
/// Zero lines, and rules under headings.
pub const RULE: Color32 = Color32::from_rgb(0x4A, 0x41, 0x36);
/// Where the records lie, and the pass before.
pub const WIRE: Color32 = Color32::from_rgb(0x6E, 0x63, 0x52);
/// Notes, labels and scales.
pub const NOTE: Color32 = Color32::from_rgb(0xA9, 0x9C, 0x86);
/// Figures, headings, and the song as it is.
pub const INK: Color32 = Color32::from_rgb(0xED, 0xE2, 0xCC);
/// Mono, overs, and time that is up.
pub const ACCENT: Color32 = Color32::from_rgb(0xE8, 0x92, 0x3F);
/// Outside the records.
pub const OUTSIDE: Color32 = Color32::from_rgb(0x8C, 0xC3, 0xDE);

/// Every pair of text and background in use. In the dimmed picture contrast is lower, on purpose: the candle
/// and what it has to say stay as they are.
pub const TEXT_ON: [(Color32, Color32); 9] = [
    (NOTE, BACKGROUND),
    (INK, BACKGROUND),
    (ACCENT, BACKGROUND),
    (OUTSIDE, BACKGROUND),
    (NOTE, RAISED),
    (INK, RAISED),
    (INK, GRID),
    (INK, RULE),
    (BACKGROUND, ACCENT),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance, 0 to 1: WCAG 2.1, definition of "relative luminance".
    fn luminance(colour: Color32) -> f64 {
        let [r, g, b] = [colour.r(), colour.g(), colour.b()].map(|channel| {
            let share = f64::from(channel) / 255.0;
            if share <= 0.03928 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    /// WCAG 2.1, definition of "contrast ratio".
    fn contrast(one: Color32, other: Color32) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    #[test]
    fn black_and_white_have_the_greatest_contrast() {
        assert!((contrast(Color32::BLACK, Color32::WHITE) - 21.0).abs() < 1e-9);
        assert_eq!(contrast(INK, INK), 1.0);
    }

    /// WCAG 2.1, success criterion 1.4.3 (level AA).
    #[test]
    fn every_text_stands_out_from_its_background() {
        for (text, background) in TEXT_ON {
            let contrast = contrast(text, background);
            assert!(contrast >= 4.5, "{text:?} on {background:?}: {contrast:.2}");
        }
    }
}
