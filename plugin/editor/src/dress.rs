//! Fonts and manners of egui itself, set once a context.

use std::sync::Arc;

use egui::style::{Spacing, WidgetVisuals, Widgets};
use egui::{
    Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Id, Shadow, Stroke, Style,
    TextStyle, Theme, Ui, Visuals,
};

use crate::palette::{Colours, Palette};

const PLAIN: &str = "DejaVu Sans";
const BOLD: &str = "DejaVu Sans Bold";

/// The family of headings and figures.
pub(crate) fn bold() -> FontFamily {
    FontFamily::Name(BOLD.into())
}

/// Puts fonts and colours in place, unless they are.
pub(crate) fn dress(ui: &mut Ui, palette: Palette, grow: f32) {
    let ctx = ui.ctx().clone();
    let memory = Id::unique("how large the window's own parts are");
    let has_grown = ctx.data_mut(|data| data.get_temp::<f32>(memory) != Some(grow));
    if !ctx.fonts(|fonts| fonts.definitions().font_data.contains_key(BOLD)) {
        ctx.set_fonts(fonts());
    }
    if has_grown {
        ctx.data_mut(|data| data.insert_temp(memory, grow));
        for palette in Palette::ALL {
            ctx.style_mut_of(palette.theme(), |style| set(style, palette, grow));
        }
    }
    let theme = palette.theme();
    if has_grown || ctx.theme() != theme || ui.visuals().dark_mode != (theme == Theme::Dark) {
        ctx.set_theme(theme);
        ui.set_style(ctx.style_of(theme));
    }
}

fn set(style: &mut Style, palette: Palette, grow: f32) {
    style.visuals = visuals(palette.colours(), palette.theme());
    for text_style in [TextStyle::Body, TextStyle::Button] {
        style.text_styles.insert(text_style, FontId::proportional(12.0 * grow));
    }
    style.spacing = Spacing::default();
    let spacing = &mut style.spacing;
    spacing.button_padding = egui::vec2(8.0, 2.0) * grow;
    spacing.interact_size = egui::vec2(spacing.interact_size.x, 20.0) * grow;
    spacing.item_spacing *= grow;
    spacing.icon_width *= grow;
    spacing.icon_width_inner *= grow;
    spacing.icon_spacing *= grow;
    spacing.tooltip_width *= grow;
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

/// Gives a part of the window other colours than the whole has.
pub(crate) fn wear(ui: &mut Ui, colours: &Colours) {
    let theme = if ui.visuals().dark_mode { Theme::Dark } else { Theme::Light };
    *ui.visuals_mut() = visuals(colours, theme);
}

fn visuals(colours: &Colours, theme: Theme) -> Visuals {
    let Colours { background, raised, grid, rule, note, ink, .. } = *colours;
    let widget = |fill: Color32, line: Color32| WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(1.0, line),
        corner_radius: CornerRadius::same(3),
        fg_stroke: Stroke::new(1.2, ink),
        expansion: 0.0,
    };
    Visuals {
        widgets: Widgets {
            noninteractive: widget(raised, rule),
            inactive: widget(raised, rule),
            hovered: widget(grid, note),
            active: widget(rule, ink),
            open: widget(grid, note),
        },
        selection: egui::style::Selection { bg_fill: rule, stroke: Stroke::new(1.2, ink) },
        panel_fill: background,
        window_fill: raised,
        window_stroke: Stroke::new(1.0, rule),
        popup_shadow: Shadow::NONE,
        ..theme.default_visuals()
    }
}
