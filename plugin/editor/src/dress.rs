//! Fonts and manners of egui itself, set once a context.

use std::sync::Arc;

use egui::style::{WidgetVisuals, Widgets};
use egui::{
    Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Shadow, Stroke, TextStyle,
    Theme, Visuals,
};

use crate::palette::{BACKGROUND, GRID, INK, NOTE, RAISED, RULE};

const PLAIN: &str = "DejaVu Sans";
const BOLD: &str = "DejaVu Sans Bold";

/// The family of headings and figures.
pub(crate) fn bold() -> FontFamily {
    FontFamily::Name(BOLD.into())
}

/// Puts fonts and colours in place, unless they are.
pub(crate) fn dress(ctx: &Context) {
    if ctx.fonts(|fonts| fonts.definitions().font_data.contains_key(BOLD)) {
        return;
    }
    ctx.set_fonts(fonts());
    ctx.set_theme(Theme::Dark);
    ctx.style_mut_of(Theme::Dark, |style| {
        style.visuals = visuals();
        for text_style in [TextStyle::Body, TextStyle::Button] {
            style.text_styles.insert(text_style, FontId::proportional(12.0));
        }
        style.spacing.button_padding = egui::vec2(8.0, 2.0);
        style.spacing.interact_size.y = 20.0;
    });
}

/// Embedded, so that the picture is the same everywhere. egui's own come after, for signs that these lack.
fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let own: [(&str, &'static [u8]); 2] = [
        (PLAIN, include_bytes!("../fonts/DejaVuSans.ttf")),
        (BOLD, include_bytes!("../fonts/DejaVuSans-Bold.ttf")),
    ];
    for (name, bytes) in own {
        fonts.font_data.insert(name.into(), Arc::new(FontData::from_static(bytes)));
    }
    let others = fonts.families.get(&FontFamily::Proportional).cloned().unwrap_or_default();
    let first = |name: &str| std::iter::once(name.to_owned()).chain(others.iter().cloned()).collect();
    fonts.families.insert(FontFamily::Proportional, first(PLAIN));
    fonts.families.insert(bold(), first(BOLD));
    fonts
}

fn visuals() -> Visuals {
    let widget = |fill: Color32, line: Color32| WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(1.0, line),
        corner_radius: CornerRadius::same(3),
        fg_stroke: Stroke::new(1.2, INK),
        expansion: 0.0,
    };
    Visuals {
        widgets: Widgets {
            noninteractive: widget(RAISED, RULE),
            inactive: widget(RAISED, RULE),
            hovered: widget(GRID, NOTE),
            active: widget(RULE, INK),
            open: widget(GRID, NOTE),
        },
        selection: egui::style::Selection { bg_fill: RULE, stroke: Stroke::new(1.2, INK) },
        panel_fill: BACKGROUND,
        window_fill: RAISED,
        window_stroke: Stroke::new(1.0, RULE),
        popup_shadow: Shadow::NONE,
        ..Visuals::dark()
    }
}
