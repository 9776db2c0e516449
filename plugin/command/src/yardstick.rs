//! `candlemark yardstick`.

use std::path::Path;

use candlemark_files::Shelf;
use candlemark_session::comparison::CurvePoint;
use candlemark_session::words::shown;
use candlemark_session::yardstick::Yardstick;
use serde::Serialize;

use crate::arguments::{Take, YardstickCommand};
use crate::many::Progress;
use crate::measure::find_yardstick;
use crate::{Ended, Outcome, json, pages, print, tell, two_yardsticks};

pub(crate) fn run(command: &YardstickCommand) -> Ended {
    match command {
        YardstickCommand::Take(asked) => take(asked),
        YardstickCommand::List { json } => list(*json),
        YardstickCommand::Show { name, against, json } => show(name, against.as_deref(), *json),
        YardstickCommand::Rename { old, new, json } => rename(old, new, *json),
        YardstickCommand::Export { name, path, force, json } => export(name, path, *force, *json),
        YardstickCommand::Import { path, name, force, json } => import(path, name.as_deref(), *force, *json),
        YardstickCommand::Drop { name, json } => drop_one(name, *json),
    }
}

fn take(asked: &Take) -> Ended {
    // What can be refused at once is refused before minutes of measuring.
    let shelf = Shelf::of_user()?;
    shelf.check_free(&asked.name)?;

    let progress = Progress::new(asked.files.len());
    let taken = candlemark_files::take(&asked.name, &asked.files, &|file, share| progress.tell(file, share));
    drop(progress);
    let yardstick = match taken {
        Ok(yardstick) => yardstick,
        Err(troubles) => {
            for trouble in &troubles {
                tell(trouble);
            }
            tell(&format!(
                "yardstick \"{}\" was not taken: not all of its {} files can be records; mend them or leave them out",
                asked.name,
                asked.files.len()
            ));
            return Ok(Outcome::Unusable);
        }
    };
    let path = shelf.save(&yardstick)?;
    print(&if asked.json {
        json::text(&Shown::new(&yardstick, Some(&path)))
    } else {
        pages::taken(&yardstick, &path)
    });
    Ok(Outcome::Done)
}

fn list(as_json: bool) -> Ended {
    let shelf = Shelf::of_user()?;
    let entries = shelf.list()?;
    let mut outcome = Outcome::Done;
    for entry in &entries {
        if let Err(error) = &entry.yardstick {
            tell(error);
            outcome = Outcome::Unusable;
        }
    }
    print(&if as_json {
        let yardsticks = entries
            .iter()
            .map(|entry| Listed {
                name: &entry.name,
                path: entry.path.display().to_string(),
                records: entry.yardstick.as_ref().ok().map(|yardstick| yardstick.records.len()),
                error: entry.yardstick.as_ref().err().map(json::Error::of),
            })
            .collect();
        json::text(&List { yardsticks })
    } else {
        pages::shelf(&shelf, &entries)
    });
    Ok(outcome)
}

fn show(name: &str, against: Option<&str>, as_json: bool) -> Ended {
    let yardstick = find_yardstick(name)?;
    let other = against.map(find_yardstick).transpose()?;
    print(&match (&other, as_json) {
        (Some(other), true) => two_yardsticks::json([&yardstick, other]),
        (Some(other), false) => two_yardsticks::page([&yardstick, other]),
        (None, true) => json::text(&Shown::new(&yardstick, None)),
        (None, false) => pages::yardstick(&yardstick),
    });
    Ok(Outcome::Done)
}

fn rename(old: &str, new: &str, as_json: bool) -> Ended {
    let (was, path) = Shelf::of_user()?.rename(old, new)?;
    print(&if as_json {
        json::text(&Named { name: new, was: Some(&was), path: path.display().to_string() })
    } else {
        format!("\"{}\" is called \"{}\" now ({})", shown(was), shown(new), shown(path.display()))
    });
    Ok(Outcome::Done)
}

fn export(name: &str, to: &Path, force: bool, as_json: bool) -> Ended {
    let path = Shelf::of_user()?.export(name, to, force)?;
    print(&if as_json {
        json::text(&Named { name, was: None, path: path.display().to_string() })
    } else {
        format!("wrote \"{}\" to {}", shown(name), shown(path.display()))
    });
    Ok(Outcome::Done)
}

fn import(from: &Path, name: Option<&str>, force: bool, as_json: bool) -> Ended {
    let (yardstick, path) = Shelf::of_user()?.import(from, name, force)?;
    print(&if as_json {
        json::text(&Shown::new(&yardstick, Some(&path)))
    } else {
        pages::imported(&yardstick, &path)
    });
    Ok(Outcome::Done)
}

fn drop_one(name: &str, as_json: bool) -> Ended {
    let path = Shelf::of_user()?.drop_named(name)?;
    print(&if as_json {
        json::text(&Named { name, was: None, path: path.display().to_string() })
    } else {
        format!("dropped \"{}\" ({})", shown(name), shown(path.display()))
    });
    Ok(Outcome::Done)
}

/// `yardstick list --json`.
#[derive(Serialize)]
struct List<'a> {
    yardsticks: Vec<Listed<'a>>,
}

#[derive(Serialize)]
struct Listed<'a> {
    name: &'a str,
    path: String,
    records: Option<usize>,
    error: Option<json::Error>,
}

/// `yardstick show --json`, `take --json` and `import --json`.
#[derive(Serialize)]
struct Shown<'a> {
    path: Option<String>,
    yardstick: &'a Yardstick,
    curve: Vec<CurveBand>,
}

#[derive(Serialize)]
struct CurveBand {
    hz: f64,
    #[serde(flatten)]
    point: CurvePoint,
}

impl<'a> Shown<'a> {
    fn new(yardstick: &'a Yardstick, path: Option<&Path>) -> Self {
        let curve = yardstick.curve().map(|(nominal, point)| CurveBand { hz: nominal.0, point }).collect();
        Self { path: path.map(|p| p.display().to_string()), yardstick, curve }
    }
}

/// `yardstick rename --json`, `drop --json` and `export --json`.
#[derive(Serialize)]
struct Named<'a> {
    name: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    was: Option<&'a str>,
    path: String,
}
