//! `candlemark measure`.

use std::path::Path;

use candlemark_files::{FileError, Shelf, load_path};
use candlemark_session::comparison::Comparison;
use candlemark_session::yardstick::Yardstick;

use crate::many::measure_all;
use crate::{Outcome, arguments, json, pages, print, tell};

pub(crate) fn run(asked: &arguments::Measure) -> Outcome {
    let mut outcome = Outcome::Done;
    let found = asked.yardstick.as_deref().map(find_yardstick).transpose();
    let yardstick = found.unwrap_or_else(|error| {
        // The files are measured all the same.
        tell(&error);
        outcome = Outcome::Unusable;
        None
    });
    let mut objects = Vec::new();
    for (path, result) in asked.files.iter().zip(measure_all(&asked.files)) {
        let measured = result.as_ref().ok();
        let beside = measured.zip(yardstick.as_ref()).map(|(m, y)| Comparison::new(&m.figures, y));
        let troubles = result.as_ref().map_or_else(std::slice::from_ref, |m| m.troubles.as_slice());
        for trouble in troubles {
            tell(trouble);
        }
        if !troubles.is_empty() {
            outcome = Outcome::Unusable;
        }
        if asked.json {
            objects.push(json::File::new(path, &result, beside.as_ref()));
        } else if let Some(measured) = measured {
            print(&pages::song(path, measured, beside.as_ref()));
        }
    }
    if asked.json {
        print(&json::text(&json::Report::new(objects)));
    }
    outcome
}

/// A yardstick by its name on the shelf, or by the path of its file.
pub(crate) fn find_yardstick(asked: &str) -> Result<Yardstick, FileError> {
    let path = Path::new(asked);
    let is_path = path.components().count() > 1 || path.extension().is_some_and(|ending| ending == "toml");
    if is_path { load_path(path) } else { Shelf::of_user()?.load(asked) }
}
