//! A display without a screen, a hand on its mouse, and pictures of it.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::Duration;

use anyhow::{Context, Result};

use crate::process;

/// The screen, in pixels: the plugin's window has room beside the mixer (ours).
const SIZE: (u32, u32) = (1600, 1000);

/// An X server, ended with this value.
pub(super) struct Display {
    server: Child,
    /// Its name, as `DISPLAY` has it.
    pub(super) name: String,
}

/// A window: where it is on the screen, and how large, in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Window {
    pub(super) x: i32,
    pub(super) y: i32,
    pub(super) width: i32,
    pub(super) height: i32,
}

impl Display {
    pub(super) fn start() -> Result<Self> {
        let mut server = Command::new("Xvfb");
        server.args(["-displayfd", "1", "-nolisten", "tcp", "-screen", "0"]);
        server.arg(format!("{}x{}x24", SIZE.0, SIZE.1)).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut server = server.spawn().context("can't start Xvfb")?;
        let mut line = String::new();
        let printed = server.stdout.take().context("its output is piped")?;
        BufReader::new(printed).read_line(&mut line).context("Xvfb does not say which display it is")?;
        Ok(Self { server, name: format!(":{}", line.trim()) })
    }

    /// A window on the screen whose whole name is of this pattern.
    pub(super) fn window(&self, name: &str) -> Result<Option<Window>> {
        let Some(id) = self.window_id(name) else { return Ok(None) };
        let told = process::output(self.xdotool().args(["getwindowgeometry", "--shell", &id]))?;
        window_of(&told).with_context(|| format!("where is a window? {told:?}")).map(Some)
    }

    fn window_id(&self, name: &str) -> Option<String> {
        let pattern = format!("^{name}$");
        // It fails where it finds none.
        let found =
            process::output(self.xdotool().args(["search", "--onlyvisible", "--name", &pattern])).ok()?;
        found.lines().next_back().map(str::to_owned)
    }

    /// Gives the keyboard to a window, and types.
    pub(super) fn type_key(&self, window: &str, key: &str) -> Result<()> {
        let id = self.window_id(window).with_context(|| format!("no window “{window}” is on the screen"))?;
        process::output(self.xdotool().args(["windowfocus", "--sync", &id]))?;
        process::output(self.xdotool().args(["key", key])).map(|_| ())
    }

    /// Clicks so many times at a place on the screen. A hand comes from beside it.
    pub(super) fn click(&self, (x, y): (i32, i32), times: u32) -> Result<()> {
        for x in [x - 3, x] {
            process::output(self.xdotool().arg("mousemove").args([x, y].map(|place| place.to_string())))?;
            sleep(Duration::from_millis(200));
        }
        let times = times.to_string();
        process::output(self.xdotool().args(["click", "--repeat", &times, "--delay", "80", "1"])).map(|_| ())
    }

    /// Draws what is on the screen into a file.
    pub(super) fn picture(&self, path: &Path) -> Result<()> {
        let mut ffmpeg = Command::new("ffmpeg");
        ffmpeg.args(["-loglevel", "error", "-y", "-f", "x11grab", "-video_size"]);
        ffmpeg.arg(format!("{}x{}", SIZE.0, SIZE.1)).args(["-i", &self.name, "-frames:v", "1"]).arg(path);
        process::output(&mut ffmpeg).map(|_| ())
    }

    fn xdotool(&self) -> Command {
        let mut xdotool = Command::new("xdotool");
        xdotool.env("DISPLAY", &self.name);
        xdotool
    }
}

impl Drop for Display {
    fn drop(&mut self) {
        // It may have ended by itself; then there is nothing to do.
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// What xdotool tells of a window, a line each: `X=516`.
fn window_of(told: &str) -> Option<Window> {
    let number = |name: &str| {
        let value = told.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix('='))?;
        value.parse().ok()
    };
    Some(Window { x: number("X")?, y: number("Y")?, width: number("WIDTH")?, height: number("HEIGHT")? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_window_is_read_from_what_is_told_of_it() {
        let told = "WINDOW=8388611\nX=516\nY=-34\nWIDTH=1084\nHEIGHT=680\nSCREEN=0\n";
        assert_eq!(window_of(told), Some(Window { x: 516, y: -34, width: 1084, height: 680 }));
        assert_eq!(window_of("X=516\nY=34\n"), None);
    }
}
