//! What becomes of a yardstick that is taken: it is put on the shelf, and used where it was asked for.

use std::path::PathBuf;

use candlemark_files::{FileError, Shelf};
use candlemark_session::yardstick::Yardstick;

use crate::keeper::Keeper;
use crate::table::FindShelf;
use crate::taking::{Progress, Taken, Taking};

/// The yardstick that an instance takes, one at a time.
#[derive(Default)]
pub(crate) struct Takings {
    files: Option<Taking>,
    /// Another project has been opened since the taking began.
    elsewhere: bool,
}

/// What a taking came to.
pub(crate) struct Ended {
    /// The name of what is on the shelf now.
    pub(crate) kept: Option<String>,
    /// It is in use.
    pub(crate) used: bool,
    /// What there is to say of it.
    pub(crate) said: Option<String>,
}

impl Takings {
    /// Begins to take from files. What can be refused at once is refused before minutes of measuring.
    pub(crate) fn begin(
        &mut self,
        shelf: Result<Shelf, FileError>,
        name: String,
        files: Vec<PathBuf>,
    ) -> Result<(), String> {
        shelf.and_then(|shelf| shelf.check_free(&name)).map_err(|error| error.to_string())?;
        *self = Self { files: Some(Taking::begin(name, files)), elsewhere: false };
        Ok(())
    }

    /// Breaks off what is being taken.
    pub(crate) fn stop(&mut self) {
        self.files = None;
    }

    /// Another project has been opened: the records are for the one before.
    pub(crate) fn leave_project(&mut self) {
        self.elsewhere = true;
    }

    pub(crate) fn progress(&self) -> Option<Progress> {
        self.files.as_ref().map(Taking::progress)
    }

    /// One round.
    pub(crate) fn attend(&mut self, shelf: FindShelf, keeper: &dyn Keeper) -> Option<Ended> {
        let ended = match self.files.as_ref()?.look() {
            Taken::NotYet => return None,
            Taken::Refused(why) => Ended { kept: None, used: false, said: Some(why) },
            Taken::Done(yardstick) => match shelf().and_then(|shelf| shelf.save(&yardstick)) {
                Ok(_) => self.keep(yardstick, keeper),
                Err(error) => Ended { kept: None, used: false, said: Some(error.to_string()) },
            },
        };
        self.files = None;
        Some(ended)
    }

    /// What is on the shelf is used in the project for which it was taken, and in no other.
    fn keep(&self, yardstick: Yardstick, keeper: &dyn Keeper) -> Ended {
        let name = yardstick.name.clone();
        let said = self.elsewhere.then(|| {
            format!(
                "“{name}” is on your shelf. It was begun in another project, so this one goes on with what it had."
            )
        });
        if !self.elsewhere {
            keeper.take_into_use(yardstick);
        }
        Ended { kept: Some(name), used: !self.elsewhere, said }
    }
}
