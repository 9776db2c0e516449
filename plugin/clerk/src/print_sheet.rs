//! The print sheet of the song in the window, written where the person has said.

use std::path::Path;
use std::time::{Duration, Instant};

use candlemark_files::FileError;
use candlemark_files::sheet::{SongSheet, check_free, place_for, save, song_page};

use crate::moment::Moment;
use crate::shown::Shown;

/// For so long it is said that a sheet was written (ours): it is read once, and then in the way.
const SAID_FOR: Duration = Duration::from_secs(20);

/// The sheets of an instance's songs.
#[derive(Default)]
pub(crate) struct PrintSheets {
    /// What was said of the last one, and until when.
    said: Option<(String, Instant)>,
}

impl PrintSheets {
    /// Writes the sheet of the song as it is shown.
    ///
    /// # Errors
    ///
    /// What there is to say where it was not written. What was there is as it was.
    pub(crate) fn write(
        &mut self,
        named: &Path,
        shown: &Shown,
        rests: usize,
        is_mono: bool,
        now: Moment,
    ) -> Result<(), String> {
        self.said = None;
        if shown.view.song.duration_s <= 0.0 {
            return Err(
                "Nothing of the song was heard yet, so there is no sheet of it. Play it first.".into()
            );
        }
        let sheet =
            SongSheet { view: &shown.view, is_mono, meant: &shown.meant, rests, made_unix_s: now.unix_s };
        let page = song_page(&sheet, env!("CARGO_PKG_VERSION"));
        let (path, over) = place_for(named);
        check_free(&path, over, &[] as &[&Path])
            .and_then(|()| save(&path, &page, over))
            .map_err(|error| told(&error))?;
        self.said = Some((format!("The print sheet is written: {}", path.display()), now.at + SAID_FOR));
        Ok(())
    }

    /// What there is to say of the last one.
    pub(crate) fn said(&self, now: Moment) -> Option<String> {
        self.said.as_ref().filter(|(_, until)| now.at < *until).map(|(said, _)| said.clone())
    }
}

/// As it is said in a window, where there is no command to give an option.
fn told(error: &FileError) -> String {
    match error {
        FileError::SheetExists { path } | FileError::NotASheet { path } => format!(
            "{}: there is a file already that is no print sheet, or whose name you did not give whole; it is as it was. Choose \
             another name.",
            path.display()
        ),
        error => format!("The print sheet was not written. {error}"),
    }
}
