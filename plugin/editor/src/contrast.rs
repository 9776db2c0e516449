//! How well two colours stand out from each other.

use egui::Color32;

/// The least contrast of text with its background: W3C WCAG 2.2 (December 2024), success criterion 1.4.3, level AA.
pub const LEAST_OF_TEXT: f64 = 4.5;

/// Relative luminance, 0 for black to 1 for white: W3C WCAG 2.2, definition of "relative luminance".
fn luminance(colour: Color32) -> f64 {
    let [r, g, b] = [colour.r(), colour.g(), colour.b()].map(|channel| {
        let share = f64::from(channel) / 255.0;
        if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
    });
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// Contrast of two opaque colours, 1 (the same) to 21 (black and white): W3C WCAG 2.2, definition of "contrast ratio".
pub fn ratio(one: Color32, other: Color32) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn black_and_white_have_the_greatest_contrast() {
        assert!((ratio(Color32::BLACK, Color32::WHITE) - 21.0).abs() < 1e-9);
        assert_eq!(ratio(Color32::GRAY, Color32::GRAY), 1.0);
    }

    /// By hand: (128/255 + 0.055) / 1.055 to the power 2.4 is 0.21586; 1.05 / 0.26586 is 3.949.
    #[test]
    fn the_curve_of_srgb_is_in_it() {
        assert!((ratio(Color32::from_gray(128), Color32::WHITE) - 3.949).abs() < 1e-3);
    }
}
