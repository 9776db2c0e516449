//! What becomes of a yardstick that is taken, from files or from what plays: it is put on the shelf, and used where it was
//! asked for.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

use candlemark_files::{FileError, Shelf};
use candlemark_session::bus_processing::BusProcessing;
use candlemark_session::taking::Progress;
use candlemark_session::yardstick::{NotARecord, Record, Yardstick};

use crate::folders::Find;
use crate::keeper::Keeper;
use crate::record_desk::RecordDesk;
use crate::song::Song;
use crate::taking::Taking;

/// The yardstick that an instance takes, one at a time.
pub(crate) struct Takings {
    shelf: Find<Shelf>,
    keeper: Arc<dyn Keeper>,
    files: Option<Taking>,
    input: Option<FromInput>,
    /// Another project has been opened since the taking began.
    elsewhere: bool,
}

/// A yardstick that is taken from what plays.
struct FromInput {
    name: String,
    /// The record is added to the yardstick of this name.
    add: bool,
    /// It is over, and could not be put on the shelf yet.
    unsaved: Option<Record>,
}

/// What a taking came to.
#[derive(Default)]
pub(crate) struct Ended {
    /// The name of what is on the shelf now.
    pub(crate) kept: Option<String>,
    /// It is in use.
    pub(crate) used: bool,
    /// What there is to say of it.
    pub(crate) said: Option<String>,
}

impl Ended {
    fn refused(why: String) -> Self {
        Self { said: Some(why), ..Self::default() }
    }
}

impl Takings {
    pub(crate) fn new(shelf: Find<Shelf>, keeper: Arc<dyn Keeper>) -> Self {
        Self { shelf, keeper, files: None, input: None, elsewhere: false }
    }

    /// Begins to take from files. What can be refused at once is refused before minutes of measuring.
    pub(crate) fn begin(&mut self, name: String, files: Vec<PathBuf>, song: &mut Song) -> Result<(), String> {
        (self.shelf)().and_then(|shelf| shelf.check_free(&name)).map_err(|error| error.to_string())?;
        self.stop(song);
        self.files = Some(Taking::begin(name, files));
        Ok(())
    }

    /// Begins to take from what plays; with `add` another record for the yardstick of this name.
    pub(crate) fn begin_input(
        &mut self,
        name: String,
        add: bool,
        song: &mut Song,
        now: Instant,
    ) -> Result<(), String> {
        let free = |shelf: Shelf| if add { shelf.load(&name).map(drop) } else { shelf.check_free(&name) };
        (self.shelf)().and_then(free).map_err(|error| error.to_string())?;
        self.stop(song);
        song.begin_record(now);
        self.input = Some(FromInput { name, add, unsaved: None });
        Ok(())
    }

    /// Breaks off what is being taken.
    pub(crate) fn stop(&mut self, song: &mut Song) {
        self.files = None;
        self.input = None;
        self.elsewhere = false;
        song.end_record();
    }

    /// Another project has been opened: the records are for the one before, and what plays from now on is none of them.
    pub(crate) fn leave_project(&mut self, song: &mut Song) -> Option<Ended> {
        self.elsewhere = true;
        song.record()?;
        self.finish_input(song)
    }

    pub(crate) fn progress(&self, song: &Song) -> Option<Progress> {
        let input = self.input.as_ref().map(|input| Progress {
            name: input.name.clone(),
            files: 0,
            share: 0.0,
            input_s: Some(song.record().map_or_else(
                || input.unsaved.as_ref().map_or(0.0, |record| record.duration_s),
                RecordDesk::sound_s,
            ) as u32),
        });
        self.files.as_ref().map(Taking::progress).or(input)
    }

    /// One round: what has come of the files, and whether what plays has played for too long.
    pub(crate) fn attend(&mut self, song: &mut Song, now: Instant) -> Option<Ended> {
        if song.record().is_some_and(|record| record.is_over(now)) {
            return self.finish_input(song);
        }
        let taken = self.files.as_mut()?.look()?;
        self.files = None;
        let kept = taken.and_then(|yardstick| {
            (self.shelf)().and_then(|shelf| shelf.save(&yardstick)).map_err(|error| error.to_string())?;
            Ok(self.keep(yardstick))
        });
        Some(kept.unwrap_or_else(Ended::refused))
    }

    /// The record that plays is over. What can't be put on the shelf now is kept until it can, or is broken off.
    pub(crate) fn finish_input(&mut self, song: &mut Song) -> Option<Ended> {
        let mut input = self.input.take()?;
        let record = match (input.unsaved.take(), song.end_record()) {
            (Some(record), _) => record,
            (None, played) => match record_of(&input.name, played.as_ref()) {
                Ok(record) => record,
                Err(why) => return Some(Ended::refused(why)),
            },
        };
        // Before it is there itself.
        let told = told_of(self.shelf, &record);
        match put_on_shelf(self.shelf, &input, record.clone()) {
            Ok(yardstick) => {
                let mut ended = self.keep(yardstick);
                let said = ended.said.take().into_iter().chain(told);
                ended.said = said.reduce(|before, more| format!("{before} {more}"));
                Some(ended)
            }
            Err(error) => {
                let why = format!("{error}. What was taken is kept until you press Done again, or Stop.");
                input.unsaved = Some(record);
                self.input = Some(input);
                Some(Ended::refused(why))
            }
        }
    }

    /// What is on the shelf is used in the project for which it was taken, and in no other.
    fn keep(&self, yardstick: Yardstick) -> Ended {
        let name = yardstick.name.clone();
        let said = self.elsewhere.then(|| {
            format!(
                "“{name}” is on your shelf. It was begun in another project, so this one goes on with what it had."
            )
        });
        if !self.elsewhere {
            self.keeper.take_into_use(yardstick);
        }
        Ended { kept: Some(name), used: !self.elsewhere, said }
    }
}

/// The record that has played, or why there is none. Until it is put on the shelf it is called as the person called it: perhaps a
/// record of that title is there.
fn record_of(name: &str, played: Option<&RecordDesk>) -> Result<Record, String> {
    let sounded = played.is_some_and(|played| played.sound_s() > 0.0);
    let figures = played.map(RecordDesk::figures).unwrap_or_default();
    Record::of(name, &figures).map_err(|why| {
        let (why, todo) = match why {
            NotARecord::Silent if !sounded => {
                ("nothing sounded", "Let the record play through this bus and take it again.")
            }
            NotARecord::Silent | NotARecord::TooShort => {
                ("less than three seconds of a record were heard in a row", "Let it play for longer.")
            }
        };
        format!("“{name}” was not taken: {why}. {todo}")
    })
}

/// What is worth knowing of a record that was taken from what plays: how much of it was heard, and through what.
fn told_of(shelf: Find<Shelf>, record: &Record) -> Option<String> {
    let entries = shelf().and_then(|shelf| shelf.list()).unwrap_or_default();
    let yardsticks: Vec<Yardstick> = entries.into_iter().filter_map(|entry| entry.yardstick.ok()).collect();
    let section = "Less than a minute of it was heard: it stands for a section.";
    let section = record.section.then(|| section.to_owned());
    let bus = BusProcessing::of(record, &yardsticks).words();
    section.into_iter().chain(bus).reduce(|section, bus| format!("{section} {bus}"))
}

/// On the shelf a record that has played, which has no file's name, is called by its number in the yardstick.
fn put_on_shelf(shelf: Find<Shelf>, input: &FromInput, record: Record) -> Result<Yardstick, FileError> {
    let shelf = shelf()?;
    let there = if input.add { shelf.load(&input.name)?.records.len() } else { 0 };
    let record = Record { title: format!("record {} of {}", there + 1, input.name), ..record };
    if input.add {
        return Ok(shelf.add(&input.name, record)?.0);
    }
    let yardstick = Yardstick { name: input.name.clone(), records: vec![record] };
    shelf.save(&yardstick)?;
    Ok(yardstick)
}
