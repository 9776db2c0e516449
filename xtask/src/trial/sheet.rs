//! `cargo xtask trial sheet`: print sheets in a browser, to be looked at.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail, ensure};
use clap::Args;

use super::{build_command, candlemark};
use crate::apt::{self, Need};
use crate::{folders, music, process, swap};

/// Print sheets of real music, in a browser, at two widths and on paper
///
/// Installs Chromium by apt-get where it is missing, builds the command, takes a yardstick from three tracks, makes a sheet
/// of one file, one of several, and those of the songs that the pictures of the window show, and draws them into
/// target/sheets: as pictures at two widths, by daylight and by lamplight, and as pages of A4 and Letter. It fails where something sticks out at the right. Look at them.
#[derive(Args)]
pub(crate) struct Options {}

const CHROMIUM: Need =
    Need { package: "chromium", why: "draws the print sheets", present: || process::exists("chromium") };

/// Widths of the pictures: a desk's window, and a telephone held upright (ours).
const WIDTHS: [u32; 2] = [1100, 500];
/// High enough for the whole of a sheet of one file (ours).
const HEIGHT: u32 = 3600;

pub(crate) fn run() -> Result<()> {
    apt::ensure(&[CHROMIUM])?;
    let tracks = music::ensure()?.join("pushover-data");
    build_command()?;
    let folder = swap::emptied(folders::target().join("sheets"))?;
    let track = |name: &str| tracks.join(name).into_os_string();
    let records: Vec<OsString> = ["castle.ogg", "greek.ogg", "japanese.ogg"].map(track).into();
    candlemark(
        &folder,
        [&["yardstick", "take", "--name", "three tracks"].map(Into::into)[..], &records].concat(),
    )?;
    let beside = ["--yardstick", "three tracks", "--delivery", "ebu-r128", "--sheet"].map(OsString::from);
    for (name, songs) in
        [("one", vec![track("aztec.ogg")]), ("several", [vec![track("aztec.ogg")], records].concat())]
    {
        let sheet = folder.join(format!("{name}.html"));
        let arguments =
            [&["measure".into()][..], &songs, &beside, &[sheet.clone().into_os_string()]].concat();
        candlemark(&folder, arguments)?;
        draw_all(&folder, name, &sheet)?;
    }
    for (name, sheet) in songs()? {
        draw_all(&folder, &format!("song, {name}"), &sheet)?;
    }
    println!("Look at what is in {}.", folder.display());
    Ok(())
}

/// The sheets of songs in the window, which a test writes, with their names.
fn songs() -> Result<Vec<(String, PathBuf)>> {
    process::run(&mut process::cargo([
        "test",
        "--locked",
        "--package",
        "candlemark-tests",
        "--test",
        "pictures",
        "sheets::",
    ]))?;
    let folder = folders::target().join("pictures").join("sheets");
    let mut songs = Vec::new();
    for entry in fs::read_dir(&folder).with_context(|| format!("no sheets in {}", folder.display()))? {
        let path = entry?.path();
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        songs.push((name, path));
    }
    ensure!(!songs.is_empty(), "no sheets in {}", folder.display());
    Ok(songs)
}

/// Every picture and every page of a sheet.
fn draw_all(folder: &Path, name: &str, sheet: &Path) -> Result<()> {
    for light in ["daylight", "lamplight"] {
        // What a reader's dark system asks for is asked for in the page itself, so that the same browser shows both.
        let page = fs::read_to_string(sheet)?;
        let asked = "screen and (prefers-color-scheme:dark)";
        ensure!(page.contains(asked), "{} does not know a dark system", sheet.display());
        let shown = folder.join(format!("{name} by {light}.html"));
        fs::write(&shown, page.replace(asked, if light == "lamplight" { "screen" } else { "not all" }))?;
        for width in WIDTHS {
            let picture = folder.join(format!("{name} by {light}, {width} wide.png"));
            let size = format!("--window-size={width},{HEIGHT}");
            browser(
                &shown,
                &[format!("--screenshot={}", picture.display()), size, "--hide-scrollbars".into()],
            )?;
            hold_right_edge(&picture, width)?;
        }
    }
    for paper in ["A4", "Letter"] {
        let page = fs::read_to_string(sheet)?;
        ensure!(page.contains("@page{margin"), "{} sets no margin for paper", sheet.display());
        let sized = folder.join(format!("{name} on {paper}.html"));
        fs::write(&sized, page.replace("@page{margin", &format!("@page{{size:{paper};margin")))?;
        let printed = folder.join(format!("{name} on {paper}.pdf"));
        let to = format!("--print-to-pdf={}", printed.display());
        browser(&sized, &[to, "--no-pdf-header-footer".into()])?;
        ensure!(fs::read(&printed)?.starts_with(b"%PDF-"), "{} is no PDF", printed.display());
    }
    Ok(())
}

fn browser(page: &Path, options: &[String]) -> Result<()> {
    let address = format!("file://{}", page.display()).replace(' ', "%20");
    let mut chromium = Command::new("chromium");
    // Without a sandbox: root, who installed it, may use none. The page is ours, and nothing in it runs.
    chromium.args(["--headless=new", "--no-sandbox", "--disable-gpu"]).args(options).arg(address);
    process::output(&mut chromium).map(|_| ())
}

/// The picture is as wide as it should be, holds something, and its right edge nothing but the ground.
fn hold_right_edge(picture: &Path, width: u32) -> Result<()> {
    let file = File::open(picture).with_context(|| format!("{} was not drawn", picture.display()))?;
    let mut reader = png::Decoder::new(BufReader::new(file)).read_info()?;
    let mut pixels = vec![0; reader.output_buffer_size().context("the picture is too large")?];
    let info = reader.next_frame(&mut pixels)?;
    ensure!(info.width == width, "{} is {} wide", picture.display(), info.width);
    let pixel_bytes = info.color_type.samples();
    let ground = pixels[..pixel_bytes].to_vec();
    if pixels.chunks_exact(pixel_bytes).all(|pixel| pixel == ground) {
        bail!("{} is empty", picture.display());
    }
    let rows = pixels.chunks_exact(info.line_size);
    let sticks_out = |row: &[u8]| {
        row[(width as usize - 2) * pixel_bytes..].chunks_exact(pixel_bytes).any(|pixel| pixel != ground)
    };
    if let Some(row) = rows.clone().position(sticks_out) {
        bail!("{}: something sticks out at the right, {row} pixels down", picture.display());
    }
    Ok(())
}
