//! What a sheet was made of and with: the file, its fingerprint, the settings, and where the figures are from.

use std::path::absolute;

use candlemark_analysis::Channels;
use candlemark_session::comparison::Comparison;
use candlemark_session::words::length;
use maud::{Markup, html};

use super::figures::NOTHING;
use super::{SheetFile, named, of_file};
use crate::Measured;

/// A file's length and format in a line.
pub(super) fn what(measured: &Measured) -> String {
    let channels = if measured.info.channels == Channels::Mono { "mono" } else { "stereo" };
    let bits = measured.info.bit_depth.map_or_else(String::new, |bits| format!(", {bits} bits"));
    let length = length(measured.figures.duration_s);
    format!("{length} of {channels} at {} kHz{bits}", measured.info.sample_rate.0 / 1000.0)
}

/// One file's.
pub(super) fn part(file: &SheetFile<'_>, measured: &Measured) -> Markup {
    html! {
        section {
            h3 { "This file" }
            dl {
                dt { "named" } dd { (named(file.name())) }
                // As it was named where the system does not know where it stands.
                dt { "full path" } dd { (named(absolute(file.path).unwrap_or_else(|_| file.path.to_owned()).display())) }
                dt { "frames" } dd { (format!("{:.0}", measured.figures.duration_s * measured.info.sample_rate.0)) }
                dt { "SHA-256" } dd { @match &file.sha256 { Some(Ok(digits)) => { (digits) } Some(Err(error)) => { (of_file(error, file.path)) } None => { (NOTHING) } } }
                (yardstick(file.comparison))
                dt { "delivery" } dd { @match file.delivered {
                    Some(delivered) => { "“" (named(&delivered.profile.name)) "”" }
                    None => { "none" }
                } }
            }
        }
    }
}

pub(super) fn yardstick(comparison: Option<&Comparison>) -> Markup {
    html! {
        dt { "yardstick" } dd { @match comparison {
            Some(beside) => { "“" (named(&beside.name)) "”, records: " (beside.records) }
            None => { "none" }
        } }
    }
}

/// Where the figures are from.
pub(super) fn sources(version: &str) -> Markup {
    html! {
        p {
            "Made by Candlemark " (version) ". Loudness and gates: ITU-R BS.1770-5. Momentary, short-term, integrated: EBU Tech \
             3341; range: EBU Tech 3342. True peak: BS.1770-5 Annex 2, an over is 0.1 s above 0 dBTP. Third octaves: IEC 61260-1 \
             class 1. Fold: 10·log10 of the power that mono keeps, 0 for equal channels, −3.01 for unrelated ones. Head and tail: \
             under −60 dBFS (common practice, no source). Elsewhere: figures, never a simulation. It cannot judge the song, the \
             singing or the taste."
        }
    }
}
