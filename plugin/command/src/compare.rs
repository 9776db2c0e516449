//! `candlemark compare`.

use std::fmt::Write as _;
use std::path::Path;

use candlemark_files::{Measured, Prints, compare_prints};
use candlemark_session::figures::SongFigures;
use candlemark_session::prints::{Changed, STEP_S};
use candlemark_session::words::{clock, hertz, number, shown, signed};
use serde::Serialize;

use crate::many::{measure_all, troubles};
use crate::pages::or_nothing;
use crate::{Ended, Outcome, arguments, json, pages, print, sentences, tell};

/// A file, and what was measured of it.
type Print<'a> = (&'a Path, &'a Measured);

pub(crate) fn run(asked: &arguments::Compare) -> Ended {
    let mut both = Vec::new();
    for result in measure_all(&[&asked.old, &asked.new]) {
        // Of a file that is cut or damaged it can't be said what the other changed.
        troubles(&result).iter().for_each(tell);
        both.extend(result.ok().filter(|measured| measured.troubles.is_empty()));
    }
    let [old, new] = &both[..] else { return Ok(Outcome::Unusable) };
    let both: [Print<'_>; 2] = [(&asked.old, old), (&asked.new, new)];
    let prints = compare_prints(both)?;
    print(&if asked.json { json::text(&Told::new(both, prints)) } else { page(both, &prints) });
    Ok(Outcome::Done)
}

/// What there is to say, of the files too.
fn words([(_, old), (_, new)]: [Print<'_>; 2], prints: &Prints) -> Vec<String> {
    let mut said = prints.changed.words();
    if old.info.sample_rate != new.info.sample_rate {
        said.push(
            "They have different sample rates: a tone at the edge of a band may be told by it a little differently."
                .to_owned(),
        );
    }
    said
}

/// A figure of a song, in the unit that is named beside it.
type Figure = fn(&SongFigures) -> Option<f64>;

fn page(both: [Print<'_>; 2], prints: &Prints) -> String {
    let [old, new] = both.map(|(_, measured)| &measured.figures);
    let [was, is] = both.map(|(path, _)| shown(path.display()));
    let mut page = format!("{is}\n  against {was}\n");
    let _ = writeln!(page, "  {} in common; {}\n", clock(prints.changed.common_s), place(prints, [old, new]));
    for sentence in words(both, prints) {
        let _ = writeln!(page, "{}", sentences::paragraph(&sentence));
    }
    let _ = writeln!(page, "\n{:>22}{:>9}{:>9}", "", "old", "new");
    let figures: [(&str, Figure); 7] = [
        ("loudness, LUFS", |song| song.integrated.map(|lufs| lufs.0)),
        ("range, LU", |song| song.range_lu),
        ("loud parts, dB (PSR)", |song| song.psr_loud.map(|db| db.0)),
        ("whole, dB (PLR)", |song| song.plr.map(|db| db.0)),
        ("crest factor, dB", |song| song.crest.map(|db| db.0)),
        ("true peak, dBTP", |song| song.true_peak_dbtp.map(|db| db.0)),
        ("mono fold, dB", |song| song.fold.db().map(|db| db.0)),
    ];
    for (what, of) in figures {
        let [old, new] = [old, new].map(|song| or_nothing(of(song).map(|value| number(value, 1))));
        let _ = writeln!(page, "{what:>22}{old:>9}{new:>9}");
    }
    sections(&mut page, &prints.changed);
    let _ = writeln!(page, "\n{:>11}{:>9}  new over old, dB, at matched loudness", "Hz", "moved");
    for band in &prints.changed.bands {
        let _ = writeln!(page, "{:>11}{:>9}", hertz(band.hz), moved(band.moved_db));
    }
    page.trim_end().to_owned()
}

/// Differences of length that are told, in seconds (ours): what a coder puts before and behind a sound is less.
const TOLD_S: f64 = 0.1;

/// Where the two begin and end in the song.
fn place(prints: &Prints, [old, new]: [&SongFigures; 2]) -> String {
    let Changed { cuts, unlike, .. } = &prints.changed;
    let later_s = prints.overlay.later_s;
    let cut_s = |is_head: bool| cuts.iter().find(|cut| cut.is_head == is_head).map(|cut| cut.cut_s);
    // Where the beginnings are not alike, nothing is known of a head.
    if cut_s(true).is_none() && unlike.iter().any(|there| there.at_s <= (-later_s).max(0.0) + 1.0) {
        if later_s.abs() < 0.5 * STEP_S {
            return "most of the song lies at the same place in both".to_owned();
        }
        let way = if later_s > 0.0 { "later" } else { "earlier" };
        return format!("most of the song lies {} s {way} in the new one", number(later_s.abs(), 2));
    }
    let more = |seconds: f64, end: &str| {
        let how = if seconds > 0.0 { "more" } else { "less" };
        format!("{} s {how} at its {end}", number(seconds.abs(), 2))
    };
    let head_s = later_s + cut_s(true).unwrap_or(0.0);
    let tail_s = new.duration_s - old.duration_s - later_s + cut_s(false).unwrap_or(0.0);
    // A step of the envelopes is told of a head, and what is left over of it is none.
    let head = (head_s.abs() >= 0.5 * STEP_S).then(|| more(head_s, "head"));
    let tail = (tail_s.abs() >= TOLD_S).then(|| more(tail_s, "tail"));
    match (head, tail) {
        (None, None) => "both begin at the same place in the song".to_owned(),
        (Some(only), None) | (None, Some(only)) => format!("the new one has {only}"),
        (Some(head), Some(tail)) => format!("the new one has {head} and {tail}"),
    }
}

fn moved(by: Option<f64>) -> String {
    or_nothing(by.map(|by| signed(by, 1)))
}

fn sections(page: &mut String, changed: &Changed) {
    let _ = writeln!(page, "\n{:>8}{:>7}{:>6}{}", "from", "to", "LU", pages::group_names());
    for section in &changed.sections {
        let groups = pages::group_cells(section.groups_db);
        let (from, to) = (clock(section.at_s), clock(section.until_s));
        let _ = writeln!(page, "{from:>8}{to:>7}{:>6}{groups}", moved(section.loudness_lu));
    }
}

/// `compare --json`.
#[derive(Serialize)]
struct Told {
    old: String,
    new: String,
    later_s: f64,
    correlation: f64,
    changed: Changed,
    words: Vec<String>,
}

impl Told {
    fn new(both: [Print<'_>; 2], prints: Prints) -> Self {
        let [old, new] = both.map(|(path, _)| path.display().to_string());
        Self {
            old,
            new,
            later_s: prints.overlay.later_s,
            correlation: prints.overlay.correlation,
            words: words(both, &prints),
            changed: prints.changed,
        }
    }
}
