//! What can be wrong with a file, said so that a person knows what to do.

mod words;

use std::path::{Path, PathBuf};

use candlemark_analysis::{Analyzer, Hertz};
use candlemark_session::prints::LEAST_COMMON_S;
use candlemark_session::words::number;
use candlemark_session::yardstick::NotARecord;
use thiserror::Error;
use words::{cut, places};

use crate::text_fault::TextFault;
use crate::yardstick_name::NameFault;

/// The error underneath, as a library gave it.
pub(crate) type Cause = Box<dyn std::error::Error + Send + Sync>;

/// What is wrong with a sound file, a yardstick or the shelf.
///
/// `Display` says what, where and what to do, in one line for a person; [`FileError::kind`] says it in one
/// stable word for a program.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum FileError {
    /// There is no such file.
    #[error("{}: there is no such file; check the spelling and the folder", path.display())]
    Missing {
        /// The file asked for.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// It is a folder.
    #[error("{}: this is a folder; name the files in it", path.display())]
    Folder {
        /// The folder.
        path: PathBuf,
    },
    /// It is neither a file nor a folder: a device, a pipe, a socket.
    #[error("{}: this is not a file; copy the sound into a file first", path.display())]
    NotAFile {
        /// What was named.
        path: PathBuf,
    },
    /// The system refuses to let it be read, or fails to read it.
    #[error("{}: it can't be read ({source}); check its permissions and the disk", path.display())]
    NotReadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// It does not begin like any sound file.
    #[error("{}: this is not a sound file; WAV, AIFF, FLAC, MP3, Ogg Vorbis and AAC can be read", path.display())]
    NotAudio {
        /// The file.
        path: PathBuf,
    },
    /// It is a sound file of a kind that can't be decoded.
    #[error("{}: {what} can't be decoded; convert it to WAV or FLAC first", path.display())]
    Unsupported {
        /// The file.
        path: PathBuf,
        /// Which format or codec it is.
        what: String,
        /// What the decoder said.
        source: Option<Cause>,
    },
    /// Its contents contradict themselves. What could be read was read.
    #[error("{}: damaged: {what}{}; copy or export it anew", path.display(), places(*count, *at_s))]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        what: String,
        /// In how many places.
        count: u32,
        /// Where the first place is, in seconds of the sound that could be read; `None` in the header.
        at_s: Option<f64>,
        /// What the decoder said about the first place.
        source: Option<Cause>,
    },
    /// It ends too early. What there is was read.
    #[error("{}: {}; copy or export it anew", path.display(), cut(*read_s, *declared_s))]
    Truncated {
        /// The file.
        path: PathBuf,
        /// How much sound it holds, in seconds.
        read_s: f64,
        /// How much it should hold, in seconds, where its header says so.
        declared_s: Option<f64>,
    },
    /// It holds no sound at all.
    #[error(
        "{}: empty: there is not one sample in it (a recording that was not closed looks like this); \
         export it anew", path.display()
    )]
    Empty {
        /// The file.
        path: PathBuf,
    },
    /// It has more than two channels.
    #[error("{}: it has {channels} channels; fold it down to stereo first", path.display())]
    TooManyChannels {
        /// The file.
        path: PathBuf,
        /// How many channels it has.
        channels: usize,
    },
    /// Its sample rate can't be measured at.
    #[error(
        "{}: its sample rate is {} Hz; {} to {} Hz can be measured, so convert it first",
        path.display(), rate.0, Analyzer::RATES.start(), Analyzer::RATES.end()
    )]
    UnsupportedRate {
        /// The file.
        path: PathBuf,
        /// Its sample rate.
        rate: Hertz,
    },
    /// Nothing in it is loud enough to be measured.
    #[error("{}: silent: nothing in it is louder than −70 LUFS; check that it is the right file", path.display())]
    Silent {
        /// The file.
        path: PathBuf,
    },
    /// It holds samples that are no numbers. The figures count them as zero.
    #[error(
        "{}: {count} samples are not numbers, the first at {first_s:.3} s; they were counted as zero; export \
         it anew without the effect that made them", path.display()
    )]
    NonFinite {
        /// The file.
        path: PathBuf,
        /// How many samples are NaN, infinite or beyond ±10⁶.
        count: u64,
        /// Where the first is, in seconds.
        first_s: f64,
    },

    /// It was written to while it was read.
    #[error("{}: it changed while it was read; measure it again once nothing writes to it", path.display())]
    Changed {
        /// The file.
        path: PathBuf,
    },

    /// A yardstick can't have this name.
    #[error("\"{}\" can't be the name of a yardstick: {fault}", name.escape_debug())]
    BadName {
        /// The name.
        name: String,
        /// What is wrong with it.
        fault: NameFault,
    },
    /// There is no yardstick of this name.
    #[error("there is no yardstick \"{name}\" in {}; `candlemark yardstick list` shows what there is", folder.display())]
    NoYardstick {
        /// The name.
        name: String,
        /// The shelf's folder.
        folder: PathBuf,
    },
    /// There is a yardstick of this name already.
    #[error(
        "there is a yardstick \"{name}\" already ({}); drop it first, or choose another name", path.display()
    )]
    YardstickExists {
        /// The name of the one that is there.
        name: String,
        /// Its file.
        path: PathBuf,
    },
    /// A yardstick was to be written where there is something already.
    #[error("{}: there is a file already; choose another name, or replace it with --force", path.display())]
    Exists {
        /// What is there.
        path: PathBuf,
    },
    /// A yardstick was to take the place of a file that is none, or none that can be read here. It is left as it is.
    #[error(
        "{}: only a whole yardstick is ever replaced, and this is something else; remove it yourself, or choose \
         another name", path.display()
    )]
    NotReplaced {
        /// What is there.
        path: PathBuf,
        /// Why it is no yardstick.
        source: Box<FileError>,
    },
    /// A yardstick's or a delivery profile's file can't be used. It is left as it is.
    #[error("{}: {source}", path.display())]
    Text {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        source: TextFault,
    },
    /// There is no delivery profile of this name.
    #[error(
        "there is no delivery profile \"{name}\", neither here nor in {}; `candlemark delivery list` shows what there is",
        folder.display()
    )]
    NoDelivery {
        /// The name.
        name: String,
        /// The folder of the person's own.
        folder: PathBuf,
    },
    /// The person has a delivery profile of a name that a standards body's has.
    #[error("{}: \"{name}\" is the name of a published profile too; give your file another name", path.display())]
    DeliveryTwice {
        /// The person's file.
        path: PathBuf,
        /// The name.
        name: String,
    },
    /// The system does not say where the user's data lives.
    #[error(
        "the folder for what you keep can't be found ({source}); set CANDLEMARK_HOME to a folder of yours"
    )]
    NoDataFolder {
        /// What the system said.
        source: Cause,
    },
    /// The system refuses to let something be written, or fails to write it. Nothing is half-written.
    #[error("{}: it can't be written ({source}); check the folder's permissions and the disk", path.display())]
    NotWritable {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// There is a print sheet, or a file that holds nothing, where one was to be written.
    #[error("{}: there is a file already; choose another name, or write over it with --force", path.display())]
    SheetExists {
        /// The file.
        path: PathBuf,
    },
    /// A print sheet was to be written where there is a file that is none. It is left as it is.
    #[error(
        "{}: there is a file already that is no print sheet, and it is never written over; choose another name, or \
         remove it yourself", path.display()
    )]
    NotASheet {
        /// The file.
        path: PathBuf,
    },
    /// A print sheet was to be written over one of the sound files that it is about.
    #[error("{}: this is one of the sound files; choose another name for the sheet", path.display())]
    SheetIsASong {
        /// The file.
        path: PathBuf,
    },
    /// Two files that were to be prints of one song are not.
    #[error("{}: it does not seem to be the same song as {}; name two prints of one song", path.display(), old.display())]
    NotOneSong {
        /// The new one.
        path: PathBuf,
        /// The old one.
        old: PathBuf,
    },
    /// A print is shorter than what two must share to be compared.
    #[error(
        "{}: it is too short, {} s: two prints are compared by {} s of the song or more",
        path.display(), number(*is_s, 2), number(LEAST_COMMON_S, 0)
    )]
    PrintTooShort {
        /// The print.
        path: PathBuf,
        /// How long it is, in seconds.
        is_s: f64,
    },
    /// Two prints lie over each other by chance: too little of what they share there is the same music.
    #[error(
        "{}: under {} s of it are the same music as {} in the same place; name two prints of one song that begin no more \
         than half a minute apart", path.display(), number(LEAST_COMMON_S, 0), old.display()
    )]
    TooLittleInCommon {
        /// The new one.
        path: PathBuf,
        /// The old one.
        old: PathBuf,
    },
    /// It was being measured when it was broken off.
    #[error("{}: it was not measured to its end; measure it again", path.display())]
    Stopped {
        /// The file.
        path: PathBuf,
    },
    /// It can be measured, and yet be none of a yardstick's records.
    #[error("{}: it can't be a record: {why}", path.display())]
    NotARecord {
        /// The file.
        path: PathBuf,
        /// Why not.
        why: NotARecord,
    },
    /// A yardstick was to be taken from one file twice, by whatever paths.
    #[error("{}: it is named twice, and is one record; name it once", path.display())]
    NamedTwice {
        /// The file, as it was named the second time.
        path: PathBuf,
    },
}

impl FileError {
    /// A stable word for the kind of error, in kebab case: for `error.kind` in JSON.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Missing { .. } => "missing",
            Self::Folder { .. } => "folder",
            Self::NotAFile { .. } => "not-a-file",
            Self::NotReadable { .. } => "not-readable",
            Self::NotAudio { .. } => "not-audio",
            Self::Unsupported { .. } => "unsupported",
            Self::Damaged { .. } => "damaged",
            Self::Truncated { .. } => "truncated",
            Self::Empty { .. } => "empty",
            Self::TooManyChannels { .. } => "too-many-channels",
            Self::UnsupportedRate { .. } => "unsupported-rate",
            Self::Silent { .. } => "silent",
            Self::NonFinite { .. } => "non-finite",
            Self::Changed { .. } => "changed",
            Self::NotOneSong { .. } => "not-one-song",
            Self::PrintTooShort { .. } => "print-too-short",
            Self::TooLittleInCommon { .. } => "too-little-in-common",
            Self::SheetExists { .. } => "sheet-exists",
            Self::NotASheet { .. } => "not-a-sheet",
            Self::SheetIsASong { .. } => "sheet-is-a-song",
            Self::BadName { .. } => "yardstick-name",
            Self::NoYardstick { .. } => "yardstick-missing",
            Self::YardstickExists { .. } => "yardstick-exists",
            Self::Exists { .. } => "exists",
            Self::NotReplaced { .. } => "not-replaced",
            Self::Text { source, .. } => source.kind(),
            Self::NoDelivery { .. } => "delivery-missing",
            Self::DeliveryTwice { .. } => "delivery-twice",
            Self::NoDataFolder { .. } => "no-data-folder",
            Self::NotWritable { .. } => "not-writable",
            Self::Stopped { .. } => "stopped",
            Self::NotARecord { .. } => "not-a-record",
            Self::NamedTwice { .. } => "named-twice",
        }
    }

    /// The error for sound of a kind that can't be decoded.
    pub(crate) fn unsupported(path: &Path, what: impl Into<String>, source: Option<Cause>) -> Self {
        Self::Unsupported { path: path.to_owned(), what: what.into(), source }
    }

    /// The error for a file or folder that the system would not let be written.
    pub(crate) fn of_writing(path: &Path) -> impl Fn(std::io::Error) -> Self {
        |source| Self::NotWritable { path: path.to_owned(), source }
    }

    /// The error for a file that the system would not open or read.
    pub(crate) fn of_reading(path: &Path, source: std::io::Error) -> Self {
        let path = path.to_owned();
        match source.kind() {
            std::io::ErrorKind::NotFound | std::io::ErrorKind::NotADirectory => {
                Self::Missing { path, source }
            }
            std::io::ErrorKind::IsADirectory => Self::Folder { path },
            _ => Self::NotReadable { path, source },
        }
    }
}

#[cfg(test)]
mod tests;
