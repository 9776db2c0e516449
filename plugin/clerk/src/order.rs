//! What a person asks the clerk for.

use std::path::PathBuf;

use candlemark_session::candle::Times;
use candlemark_session::chair::Knob;
use candlemark_session::pencil::PencilMark;
use candlemark_session::song_page::SongId;

/// What a person asks for that has to do with meaning or with files.
#[derive(Clone, Debug, PartialEq)]
pub enum Order {
    /// Put the song beside this yardstick of the shelf.
    Use(String),
    /// Put it beside none.
    UseNone,
    /// What lies aside is the song now.
    KeepAside,
    /// Look at the shelf again.
    LookAtShelf,
    /// Take a yardstick of this name from these files, put it on the shelf, and use it. What is being taken is broken off.
    Take(String, Vec<PathBuf>),
    /// A record plays through the mix's bus from now on: take a yardstick of this name from it.
    TakeFromInput {
        /// What it is to be called.
        name: String,
        /// There is one of this name, and the record is to be added to it.
        add: bool,
    },
    /// The record is over: put what was taken of it on the shelf, and use it.
    FinishInput,
    /// Break off what is being taken.
    StopTaking,
    /// The person means what the remark of this name says.
    Mean(String),
    /// They do not mean it any more.
    NoLongerMean(String),
    /// The person goes and rests.
    RestNow,
    /// Ten minutes more before the rest that is due.
    PutRestOff,
    /// The song has this time and these rests.
    Plan(Times),
    /// The lights go out for a pass, or on again before its end: nothing comes of it then.
    LightsOut(bool),
    /// A tap in the dark.
    Mark,
    /// The mark is this from now on: with a note, dealt with.
    Write(PencilMark),
    /// The song is called this.
    NameSong(String),
    /// Another song begins, with a fresh candle and nothing heard.
    NewSong,
    /// Go on with this song of the project.
    OpenSong(SongId),
    /// A sound-level meter showed so many dBA at the chair while the noise played from one speaker, with the knob there.
    MarkMonitor(Knob, f64),
    /// The monitor knob is where it is marked.
    ConfirmMonitor,
    /// Write the print sheet of the song as it is shown to this file, which the person has named in the system's dialog.
    PrintSheet(PathBuf),
}
