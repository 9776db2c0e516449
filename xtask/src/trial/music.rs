//! `cargo xtask trial music`: what is remarked on real music, to be judged by a person.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail, ensure};
use clap::Args;
use serde_json::Value;

use super::{build_command, candlemark};
use crate::{folders, music, swap};

/// Every remark on real music, each track beside the others of its package
///
/// Fetches packages of music by apt-get (unpacked, not installed), builds the command, takes a yardstick of each package's
/// tracks, and measures each track beside a yardstick of the others. It prints every remark with what it stands on, then
/// counts by rule. A file that can't be read is told as such.
#[derive(Args)]
pub(crate) struct Options {}

/// Debian packages of stereo music, and the folder of each that its tracks are in.
const PACKAGES: [(&str, &str); 3] = [
    ("asc-music", "usr/share/games/asc/music"),
    ("hyperrogue-music", "usr/share/hyperrogue/music"),
    ("singularity-music", "usr/share/games/singularity/music"),
];

/// A shorter track is no song (ours), in seconds: nothing would be said of its balance.
const WHOLE_S: f64 = 60.0;

/// Where one record ends and another begins in a yardstick's file.
const RECORD: &str = "\n[[record]]\n";

/// What was said so far.
#[derive(Default)]
struct Tally {
    tracks: usize,
    with_remarks: usize,
    /// How often each rule has spoken.
    by_rule: BTreeMap<String, usize>,
}

pub(crate) fn run() -> Result<()> {
    let mut folders = package_folders(&music::ensure()?)?;
    for (name, within) in PACKAGES {
        folders.push((name.to_owned(), fetched(name, within)?));
    }
    build_command()?;
    let home = swap::emptied(folders::target().join("music-trial").join("home"))?;
    let mut tally = Tally::default();
    for (name, folder) in folders {
        println!("{name}");
        try_package(&home, &name, &tracks_below(&folder)?, &mut tally)?;
    }
    ensure!(tally.tracks > 0, "no track could be measured");
    println!("{} tracks, {} with remarks", tally.tracks, tally.with_remarks);
    for (rule, count) in &tally.by_rule {
        println!("{count:4} {rule}");
    }
    Ok(())
}

/// The folders in one, with their names.
fn package_folders(music: &Path) -> Result<Vec<(String, PathBuf)>> {
    let folders = folders::entries(music)?.into_iter().filter(|path| path.is_dir());
    Ok(folders.map(|folder| (name_of(&folder), folder)).collect())
}

/// The folder with a package's music; fetches it when it is missing.
fn fetched(name: &str, within: &str) -> Result<PathBuf> {
    let home = folders::target().join("music-trial").join(name);
    if !home.is_dir() {
        swap::put(&home, |staging| {
            let tracks = music::unpack(name, staging)?.join(within);
            ensure!(tracks.is_dir(), "the package {name} holds no {within}");
            Ok(tracks)
        })?;
    }
    Ok(home)
}

/// The sound files in a folder and in those inside it, by name.
fn tracks_below(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut tracks = Vec::new();
    for path in folders::entries(folder)? {
        if path.is_dir() {
            tracks.extend(tracks_below(&path)?);
        } else if path.extension().is_some_and(|ending| ending == "ogg" || ending == "mp3") {
            tracks.push(path);
        }
    }
    Ok(tracks)
}

/// Measures each track beside the others.
fn try_package(home: &Path, package: &str, tracks: &[PathBuf], tally: &mut Tally) -> Result<()> {
    let mut readable = Vec::new();
    for track in tracks {
        match candlemark(home, ["measure".into(), "--json".into(), track.into()]) {
            Ok(told) if told_of(&told)?["duration_s"].as_f64().is_some_and(|length_s| length_s < WHOLE_S) => {
                println!("  {}: too short", name_of(track));
            }
            Ok(_) => readable.push(track.clone()),
            Err(error) => println!("  {}: {error:#}", name_of(track)),
        }
    }
    let take = ["yardstick", "take", "--name", package].map(OsString::from);
    candlemark(home, take.into_iter().chain(readable.iter().map(Into::into)))?;
    let whole = home.join(format!("{package}.toml"));
    let export = ["yardstick".into(), "export".into(), package.into(), whole.clone().into_os_string()];
    candlemark(home, export)?;
    let yardstick = fs::read_to_string(&whole).with_context(|| format!("can't read {}", whole.display()))?;
    let parts: Vec<&str> = yardstick.split(RECORD).collect();
    ensure!(parts.len() == readable.len() + 1, "{} holds other records than were taken", whole.display());
    for (at, track) in readable.iter().enumerate() {
        let others: Vec<&str> =
            parts.iter().enumerate().filter(|(n, _)| *n != at + 1).map(|(_, part)| *part).collect();
        let beside = home.join("others.toml");
        fs::write(&beside, others.join(RECORD))
            .with_context(|| format!("can't write {}", beside.display()))?;
        let measure = ["measure".into(), "--json".into(), "--yardstick".into(), beside.into_os_string()];
        let told = candlemark(home, measure.into_iter().chain([track.into()]))?;
        tell(track, &told_of(&told)?, tally)?;
    }
    Ok(())
}

/// What a JSON object tells of its one file.
fn told_of(json: &str) -> Result<Value> {
    let mut told: Value = serde_json::from_str(json).context("what the command printed is no JSON")?;
    Ok(told["files"][0].take())
}

fn tell(track: &Path, told: &Value, tally: &mut Tally) -> Result<()> {
    let Some(remarks) = told["remarks"].as_array() else {
        bail!("nothing is told of remarks on {}", track.display());
    };
    println!("  {}", name_of(track));
    for remark in remarks {
        let (Some(rule), Some(text)) = (remark["id"].as_str(), remark["text"].as_str()) else {
            bail!("a remark on {} has no id or text", track.display());
        };
        println!("    {rule}: {text}\n      {}", remark["evidence"]);
        *tally.by_rule.entry(rule.to_owned()).or_default() += 1;
    }
    tally.tracks += 1;
    tally.with_remarks += usize::from(!remarks.is_empty());
    Ok(())
}

fn name_of(track: &Path) -> String {
    track.file_name().unwrap_or(track.as_os_str()).to_string_lossy().into_owned()
}
