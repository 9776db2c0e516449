//! `candlemark measure`.

use std::path::Path;

use candlemark_files::sheet::{SheetFile, check_free, page, save};
use candlemark_files::{Delivery, FileError, Measured, Shelf, load_path};
use candlemark_session::comparison::Comparison;
use candlemark_session::delivery::{Delivered, Profile};
use candlemark_session::elsewhere::Elsewhere;
use candlemark_session::remarks::{Given, Remark, Remarks};
use candlemark_session::side_by_side::SideBySide;
use candlemark_session::yardstick::Yardstick;

use crate::many::{measure_all, troubles};
use crate::{Outcome, arguments, json, pages, print, tell, together};

/// What a file is put beside, and what there is to say of it then.
#[derive(Default)]
pub(crate) struct Beside<'a> {
    pub(crate) comparison: Option<Comparison>,
    pub(crate) elsewhere: Vec<Elsewhere>,
    pub(crate) delivered: Option<Delivered<'a>>,
    pub(crate) remarks: Vec<Remark>,
}

impl<'a> Beside<'a> {
    fn new(measured: &Measured, yardstick: Option<&Yardstick>, profile: Option<&'a Profile>) -> Self {
        let song = &measured.figures;
        let elsewhere = Elsewhere::all(&song.bands, yardstick);
        let given = Given { elsewhere: &elsewhere, ..Given::of_file(song, yardstick) };
        let remarks = Remarks::default().on(&given);
        Self {
            comparison: yardstick.map(|yardstick| Comparison::new(song, yardstick)),
            elsewhere,
            delivered: profile.map(|profile| Delivered::new(profile, &measured.finished())),
            remarks,
        }
    }
}

pub(crate) fn run(asked: &arguments::Measure) -> Outcome {
    let mut outcome = Outcome::Done;
    // The files are measured all the same; what is wrong is told after them, where it is seen.
    let mut unusable = Vec::new();
    let yardstick = asked.yardstick.as_deref().and_then(|asked| {
        let told = |error| unusable.push(format!("{error}; nothing was put beside it"));
        find_yardstick(asked).map_err(told).ok()
    });
    let profile = asked.delivery.as_deref().and_then(|asked| {
        let told = |error| unusable.push(format!("{error}; nothing was held against it"));
        Delivery::find(asked).and_then(|delivery| delivery.profile).map_err(told).ok()
    });
    let sheet = asked.sheet.as_deref().and_then(|sheet| {
        let told = |error| unusable.push(format!("{error}; no sheet was written"));
        check_free(sheet, asked.force, &asked.files).map_err(told).map(|()| sheet).ok()
    });
    let results = measure_all(&asked.files);
    let beside = |result: &Result<Measured, FileError>| {
        let measured = result.as_ref().ok();
        measured.map(|m| Beside::new(m, yardstick.as_ref(), profile.as_ref())).unwrap_or_default()
    };
    let besides: Vec<Beside<'_>> = results.iter().map(beside).collect();
    let mut objects = Vec::new();
    for ((path, result), beside) in asked.files.iter().zip(&results).zip(&besides) {
        if asked.json {
            objects.push(json::File::new(path, result, beside));
        } else if let Ok(measured) = result {
            print(&pages::song(path, measured, beside));
        }
        if asked.hold && !beside.delivered.as_ref().is_some_and(Delivered::is_held) {
            outcome = outcome.max(Outcome::NotHeld);
        }
        for trouble in troubles(result) {
            tell(trouble);
            outcome = Outcome::Unusable;
        }
    }
    let together = together::of(&results);
    if let Some(sheet) = sheet {
        for error in write_sheet(sheet, asked, &results, &besides, together.as_ref()) {
            unusable.push(error.to_string());
        }
    }
    match together {
        side_by_side if asked.json => print(&json::text(&json::Report { files: objects, side_by_side })),
        Some(together) => print(&together::page(&together, &asked.files, &results)),
        None => {}
    }
    for error in &unusable {
        tell(error);
        outcome = Outcome::Unusable;
    }
    outcome
}

/// Writes the sheet of all files, and gives what went wrong.
fn write_sheet(
    sheet: &Path,
    asked: &arguments::Measure,
    results: &[Result<Measured, FileError>],
    besides: &[Beside<'_>],
    together: Option<&SideBySide>,
) -> Vec<FileError> {
    let mut files = Vec::new();
    for ((path, result), beside) in asked.files.iter().zip(results).zip(besides) {
        files.push(SheetFile {
            path,
            measured: result.as_ref(),
            sha256: result.as_ref().ok().map(|measured| measured.sha256(path)),
            comparison: beside.comparison.as_ref(),
            elsewhere: &beside.elsewhere,
            delivered: beside.delivered.as_ref(),
            remarks: &beside.remarks,
        });
    }
    let saved = save(sheet, &page(&files, together, json::VERSION), asked.force);
    let digests = files.into_iter().filter_map(|file| file.sha256?.err());
    digests.chain(saved.err()).collect()
}

/// A yardstick by its name on the shelf, or by the path of its file.
pub(crate) fn find_yardstick(asked: &str) -> Result<Yardstick, FileError> {
    let path = Path::new(asked);
    let names_a_folder = path.components().count() > 1;
    if !names_a_folder {
        let found = Shelf::of_user().and_then(|shelf| shelf.load(asked));
        // A file of this name may lie where the command runs.
        if found.is_ok() || !path.exists() {
            return found;
        }
    }
    load_path(path)
}
