//! Ardour with its window, in a home of its own, doing what scripts say.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Child, Command};
use std::thread::sleep;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};

use super::base64;
use super::display::Display;
use crate::{process, swap};

/// The session that all happens in.
const SESSION: &str = "song";

/// The name of Ardour's window with the session open, a star before it where there is something to save.
pub(super) const MAIN_WINDOW: &str = "[*]?song - Ardour";

/// Longer than anything takes that Ardour is asked to do, on a slow machine (ours).
const PATIENCE: Duration = Duration::from_mins(2);

/// Until Ardour's window is at rest after a start (ours, by trial).
const SETTLES: Duration = Duration::from_secs(6);

/// Where everything lies, and the display.
pub(super) struct Studio {
    folder: PathBuf,
    pub(super) display: Display,
}

impl Studio {
    /// Makes a home for Ardour, with the plugin where a user's VST3 plugins are.
    pub(super) fn set_up(folder: &Path, vst3: &Path) -> Result<Self> {
        let home = folder.join("home");
        let settings = home.join(".config").join("ardour7");
        let plugins = home.join(".vst3");
        fs::create_dir_all(settings.join("export"))?;
        fs::create_dir_all(&plugins)?;
        swap::copy(vst3, &plugins.join("Candlemark.vst3"))?;
        // That it is there says that Ardour 7 was here before: no greeting comes.
        fs::write(settings.join(".a7"), "")?;
        fs::write(settings.join("config"), include_str!("home/config.xml"))?;
        fs::write(settings.join("ui_config"), include_str!("home/ui_config.xml"))?;
        fs::write(settings.join("export").join("float.preset"), include_str!("home/float.preset"))?;
        Ok(Self { folder: folder.to_path_buf(), display: Display::start()? })
    }

    /// Makes the session, which has a master bus and nothing else.
    pub(super) fn make_session(&self, rate: u32) -> Result<()> {
        let script = self.folder.join("new.lua");
        fs::write(&script, include_str!("scripts/new.lua"))?;
        let mut lua = self.own(Command::new("ardour7-lua"));
        lua.arg(script).arg(self.session()).arg(SESSION).arg(rate.to_string());
        process::output(&mut lua)?;
        // It ends well whatever the script came to.
        fs::metadata(self.session_file()).context("Ardour has made no session")?;
        Ok(())
    }

    fn session(&self) -> PathBuf {
        self.folder.join("session")
    }

    fn session_file(&self) -> PathBuf {
        self.session().join(SESSION).with_extension("ardour")
    }

    /// The plugin's state as the session was last saved with it, in base64.
    pub(super) fn state(&self) -> Result<String> {
        let saved = fs::read_to_string(self.session_file())?;
        state_in(&saved).map(str::to_owned)
    }

    /// A program of Ardour's, in the trial's home and on its display.
    fn own(&self, mut program: Command) -> Command {
        program
            .env("HOME", self.folder.join("home"))
            .env("CANDLEMARK_HOME", self.folder.join("candlemark"))
            .env("DISPLAY", &self.display.name)
            // In a locale that is not of UTF-8 it ends itself.
            .env("LC_ALL", "C.UTF-8")
            // Ardour 7.3 breaks its own heap with AVX-512.
            .env("ARDOUR_FPU_FLAGS", "0");
        for stranger in ["XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME", "VST3_PATH"] {
            program.env_remove(stranger);
        }
        program
    }

    /// Opens the session, and waits until Ardour does what it is asked.
    pub(super) fn open(&self) -> Result<Ardour<'_>> {
        let hooks = self.folder.join("home").join(".config").join("ardour7").join("ui_scripts");
        fs::write(hooks, hook(&self.folder))?;
        let log = self.folder.join("ardour.log");
        let said = File::create(&log)?;
        let mut ardour = self.own(Command::new("ardour"));
        ardour.arg(self.session_file()).stdout(said.try_clone()?).stderr(said);
        let process = ardour.spawn().context("can't start Ardour")?;
        let mut ardour = Ardour { studio: self, process, log };
        ardour.ask("", &[]).context("Ardour does not open the session")?;
        // It ends itself where it imports a file while it still tidies up what it has started with.
        sleep(SETTLES);
        Ok(ardour)
    }
}

/// Ardour with the session open; ended with this value.
pub(super) struct Ardour<'a> {
    studio: &'a Studio,
    process: Child,
    log: PathBuf,
}

impl Ardour<'_> {
    /// Does a script, with these words in variables, and gives what it says: a line each, its words apart.
    ///
    /// # Errors
    ///
    /// Where the script fails, where Ardour ends, and where nothing comes for two minutes; then a picture is left.
    pub(super) fn ask(&mut self, script: &str, words: &[(&str, &str)]) -> Result<Vec<Vec<String>>> {
        let folder = &self.studio.folder;
        let mut asked = String::new();
        for (name, word) in words {
            asked.extend(["local ", name, " = ", &quoted(word), " "]);
        }
        asked += script;
        let answer = folder.join("answer");
        if answer.exists() {
            fs::remove_file(&answer)?;
        }
        let part = folder.join("ask.part");
        fs::write(&part, asked)?;
        fs::rename(part, folder.join("ask.lua"))?;
        let lines = self.wait("an answer of Ardour's", |_| Ok(fs::read_to_string(&answer).ok()))?;
        let mut lines: Vec<&str> = lines.lines().collect();
        match lines.pop() {
            Some("done") => {}
            fault => bail!("a script {}:\n{script}", fault.unwrap_or("says nothing")),
        }
        Ok(lines.iter().map(|line| line.split('\t').map(str::to_owned).collect()).collect())
    }

    /// Looks again and again until something is there.
    pub(super) fn wait<T>(
        &mut self,
        what: &str,
        mut look: impl FnMut(&mut Self) -> Result<Option<T>>,
    ) -> Result<T> {
        let begun = Instant::now();
        loop {
            if let Some(found) = look(self)? {
                return Ok(found);
            }
            if let Some(status) = self.process.try_wait()? {
                bail!("Ardour has ended ({status}); see {}", self.log.display());
            }
            if begun.elapsed() > PATIENCE {
                let picture = self.studio.folder.join("waiting.png");
                self.studio.display.picture(&picture)?;
                bail!("{what} does not come; see {} and {}", picture.display(), self.log.display());
            }
            sleep(Duration::from_millis(100));
        }
    }

    /// Closes Ardour by the keyboard, as a person does after the session is saved: a script is part of what is closed.
    ///
    /// # Errors
    ///
    /// Where it does not end, or ends badly.
    pub(super) fn quit(mut self) -> Result<()> {
        self.studio.display.type_key(MAIN_WINDOW, "ctrl+q")?;
        let begun = Instant::now();
        while begun.elapsed() < PATIENCE {
            if let Some(status) = self.process.try_wait()? {
                if status.success() {
                    return Ok(());
                }
                bail!("Ardour ended badly ({status}); see {}", self.log.display());
            }
            sleep(Duration::from_millis(100));
        }
        bail!("Ardour does not end; see {}", self.log.display())
    }
}

impl Drop for Ardour<'_> {
    fn drop(&mut self) {
        // It may have ended by itself; then there is nothing to do.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// The plugin's state in a saved session.
fn state_in(session: &str) -> Result<&str> {
    let mut states = session.split("<chunk>").skip(1);
    match (states.next().and_then(|state| state.split_once("</chunk>")), states.next()) {
        (Some((state, _)), None) => Ok(state),
        _ => bail!("the session does not hold the state of one plugin"),
    }
}

/// What lets Ardour call the trial's own script: its list of scripts that are called with signals. Which number a signal
/// has differs from version to version, so it asks for all.
fn hook(folder: &Path) -> String {
    let script = format!(
        "local folder = {}\n{}",
        quoted(&folder.to_string_lossy()),
        include_str!("scripts/driver.lua")
    );
    let kept = format!("s = {{ n = 'trial', s = 'trial', a = {{}}, f = {} }}", quoted(&script));
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<UIScripts>\n<ActionScript/>\n<ActionHooks>\
         <LuaCallback lua=\"Lua 5.3\" id=\"1000001\" name=\"trial\" signals=\"{}\">{}</LuaCallback>\
         </ActionHooks>\n</UIScripts>\n",
        "1".repeat(64),
        base64::of(kept.as_bytes())
    )
}

/// Words as a string in Lua, whatever is in them: with more signs of equality in its brackets than they hold in a row.
fn quoted(words: &str) -> String {
    let mut level = String::new();
    while words.contains(&format!("]{level}]")) || words.ends_with(&format!("]{level}")) {
        level.push('=');
    }
    // A line's end right after the bracket is not of the string.
    format!("[{level}[\n{words}]{level}]")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_quoted_whatever_is_in_them() {
        assert_eq!(quoted("plain"), "[[\nplain]]");
        assert_eq!(quoted("a[b[1]]c"), "[=[\na[b[1]]c]=]");
        assert_eq!(quoted("ends]"), "[=[\nends]]=]");
    }

    #[test]
    fn the_state_of_one_plugin_is_found() {
        assert_eq!(state_in("<vst3><chunk>VlNU</chunk></vst3>").unwrap(), "VlNU");
        assert!(state_in("<vst3></vst3>").is_err());
        assert!(state_in("<chunk>a</chunk><chunk>b</chunk>").is_err());
    }
}
