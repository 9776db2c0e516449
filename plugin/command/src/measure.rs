//! `candlemark measure`.

use std::path::Path;

use candlemark_files::{FileError, Shelf, load_path};
use candlemark_session::comparison::Comparison;
use candlemark_session::remarks::Remarks;
use candlemark_session::yardstick::Yardstick;

use crate::many::measure_all;
use crate::{Outcome, arguments, json, pages, print, tell};

pub(crate) fn run(asked: &arguments::Measure) -> Outcome {
    let mut outcome = Outcome::Done;
    // The files are measured all the same; what is wrong is told after them, where it is seen.
    let (yardstick, unusable) = match asked.yardstick.as_deref().map(find_yardstick).transpose() {
        Ok(yardstick) => (yardstick, None),
        Err(error) => (None, Some(error)),
    };
    let mut objects = Vec::new();
    for (path, result) in asked.files.iter().zip(measure_all(&asked.files)) {
        let measured = result.as_ref().ok();
        let beside = measured.zip(yardstick.as_ref()).map(|(m, y)| Comparison::new(&m.figures, y));
        let remarks = measured.map(|m| Remarks::default().on(&m.figures, yardstick.as_ref()));
        let remarks = remarks.unwrap_or_default();
        if asked.json {
            objects.push(json::File::new(path, &result, beside.as_ref(), remarks));
        } else if let Some(measured) = measured {
            print(&pages::song(path, measured, beside.as_ref(), &remarks));
        }
        let troubles = result.as_ref().map_or_else(std::slice::from_ref, |m| m.troubles.as_slice());
        for trouble in troubles {
            tell(trouble);
            outcome = Outcome::Unusable;
        }
    }
    if asked.json {
        print(&json::text(&json::Report::new(objects)));
    }
    if let Some(error) = unusable {
        tell(&format!("{error}; nothing was put beside it"));
        outcome = Outcome::Unusable;
    }
    outcome
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
