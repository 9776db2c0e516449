//! The demo from its beginning to its end.

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::thread;

use candlemark_editor::Choice;
use candlemark_files::Shelf;
use candlemark_session::words::clock;
use candlemark_session::yardstick::Yardstick;

use crate::arguments::Arguments;
use crate::listening::{Heard, listen};
use crate::music::{self, Made};
use crate::page::{figures, hanging, or_dash};
use crate::place::Place;
use crate::{picture, planted, window, yardstick};

/// Runs it. The status is 1 where something is not as it should be.
///
/// # Errors
///
/// A file can't be read or written, or the meter says nothing.
pub fn run(arguments: &Arguments, place: &Place) -> anyhow::Result<ExitCode> {
    let is_seen = !arguments.picture && window::is_possible();
    let is_well = match &arguments.file {
        Some(file) => a_file(file, arguments.yardstick.as_deref(), place, is_seen)?,
        None => its_own_music(place, is_seen)?,
    };
    Ok(if is_well { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

fn its_own_music(place: &Place, is_seen: bool) -> anyhow::Result<bool> {
    println!("Making three records and a mix of {}, a band that does not exist …", music::BAND);
    let (records, mix) = thread::scope(|scope| {
        let mix = scope.spawn(music::mix);
        (music::records(), mix.join().expect("the mix can be made"))
    });
    let written = |made: &Made| -> anyhow::Result<PathBuf> {
        let path = place.folder.join(made.file_name());
        music::write(&path, &made.sound)?;
        Ok(path)
    };
    let files = records.iter().map(written).collect::<anyhow::Result<Vec<_>>>()?;
    let mix_file = written(&mix)?;
    let yardstick = yardstick::take(&files, &place.shelf())?;
    println!(
        "\nIn {} (invented music, made by arithmetic, to be measured here alone):",
        place.folder.display()
    );
    for record in &yardstick.records {
        let lufs = or_dash(Some(record.integrated_lufs), 1);
        println!("  {:<44}{:>5}  {lufs} LUFS", record.title, clock(record.duration_s));
    }
    println!(
        "  {:<44}{:>5}  the mix, with three faults planted in it",
        mix.file_name(),
        clock(mix.sound.seconds())
    );
    println!("The yardstick of the three is \"{}\".\n", yardstick.name);

    let heard = listen(&mix_file, Some(mix.tempo_bpm), Some(&yardstick), place, is_seen)?;
    let is_unchanged = tell(&heard, Some(&yardstick), Some(&place.shelf()), place)?;
    if heard.played.rounds == 0 {
        println!("\nThe window was closed before the mix had been heard: there is nothing to judge by.");
        return Ok(is_unchanged);
    }
    let verdict = planted::judge(&planted::all(&mix), &heard.shown.view.remarks);
    println!("\nPlanted, and how it was named:\n{}", verdict.told);
    Ok(verdict.is_well && is_unchanged)
}

fn a_file(file: &Path, name: Option<&str>, place: &Place, is_seen: bool) -> anyhow::Result<bool> {
    let yardstick = name.map(|name| Shelf::of_user()?.load(name)).transpose()?;
    println!("Playing {} …", file.display());
    let heard = listen(file, None, yardstick.as_ref(), place, is_seen)?;
    tell(&heard, yardstick.as_ref(), Shelf::of_user().ok().as_ref(), place)
}

/// Tells what was played, what came out, and what the meter says. Whether what came out is what went in.
fn tell(
    heard: &Heard,
    yardstick: Option<&Yardstick>,
    shelf: Option<&Shelf>,
    place: &Place,
) -> anyhow::Result<bool> {
    let played = &heard.played;
    let (all_s, took_s) = (played.frames as f64 / heard.rate_hz, heard.took.as_secs_f64());
    println!("Played {all_s:.0} s of sound through the plugin in a small CLAP host, in {took_s:.0} s.");
    match played.changed_at {
        None => println!("What came out is what went in, bit for bit: {} frames.", played.frames),
        Some(frame) => {
            println!("What came out is NOT what went in, first in the block before frame {frame}.");
        }
    }
    for trouble in &played.troubles {
        println!("{trouble}");
    }
    let view = &heard.shown.view;
    println!("\nThe meter shows:\n{}", figures(view));
    if view.remarks.is_empty() {
        println!("It has nothing to say of it.");
    } else {
        println!("It says:");
    }
    for (remark, number) in view.remarks.iter().zip(1..) {
        print!("{}", hanging(&format!("  {number}  "), &remark.text));
    }
    if yardstick.is_none() {
        println!(
            "(Beside no yardstick, balance and compression are not judged; `--yardstick NAME` takes one of yours.)"
        );
    }
    if !heard.in_window {
        // A shelf that can't be read has nothing to choose from.
        let entries = shelf.and_then(|shelf| shelf.list().ok()).unwrap_or_default();
        let names =
            entries.into_iter().filter(|entry| entry.yardstick.is_ok()).map(|entry| entry.name).collect();
        let choice = Choice { names, in_use: heard.shown.yardstick.clone(), ..Choice::default() };
        let path = place.picture();
        picture::draw(view, &choice, heard.is_stereo, &path)?;
        println!("\nIts window looks like this: {}", path.display());
    }
    Ok(played.changed_at.is_none())
}
