//! The song's balance, band by band: beside the yardstick's records, or by itself.

use candlemark_session::comparison::{Comparison, RECORDS_TO_JUDGE};
use candlemark_session::figures::BandFigures;
use candlemark_session::view::View;
use egui::{Grid, Ui};

use crate::text;

pub(crate) fn show(ui: &mut Ui, view: &View) {
    match &view.comparison {
        Some(comparison) => beside_records(ui, comparison),
        None => alone(ui, &view.song.bands),
    }
}

fn beside_records(ui: &mut Ui, comparison: &Comparison) {
    if comparison.records < RECORDS_TO_JUDGE {
        ui.label("Too few records to say what lies outside them.");
    }
    if comparison.bands.is_empty() {
        ui.label("Nothing to compare yet.");
        return;
    }
    Grid::new("beside records").num_columns(4).striped(true).show(ui, |ui| {
        for heading in ["Band", "Off the middle record", "Records", ""] {
            ui.label(heading);
        }
        ui.end_row();
        for band in comparison.bands.iter().rev() {
            ui.label(text::frequency(band.nominal.0));
            ui.monospace(text::difference(band.off_db));
            ui.monospace(format!("{} to {}", text::difference(band.low_db), text::difference(band.high_db)));
            ui.label(if band.outside { "outside" } else { "" });
            ui.end_row();
        }
    });
}

fn alone(ui: &mut Ui, bands: &[BandFigures]) {
    if !bands.iter().any(|band| band.relative.is_some()) {
        ui.label("Not enough of the song heard yet.");
        return;
    }
    Grid::new("alone").num_columns(2).striped(true).show(ui, |ui| {
        for heading in ["Band", "Against the song's loudness"] {
            ui.label(heading);
        }
        ui.end_row();
        for band in bands.iter().rev() {
            let Some(relative) = band.relative else { continue };
            ui.label(text::frequency(band.nominal.0));
            ui.monospace(text::level(relative.median_db));
            ui.end_row();
        }
    });
}
