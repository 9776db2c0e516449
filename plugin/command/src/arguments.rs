//! What can be asked for.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

/// Measures finished mixes and compares them with records you trust.
#[derive(Parser)]
#[command(name = "candlemark", version, arg_required_else_help = true)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Subcommand)]
pub(crate) enum Command {
    /// Measure sound files: loudness, dynamics, mono fold, balance, health
    Measure(Measure),
    /// Take and keep yardsticks: reference curves from records you trust
    #[command(subcommand)]
    Yardstick(YardstickCommand),
    /// Delivery profiles: what a finished file must hold, of standards bodies and your own
    #[command(subcommand)]
    Delivery(DeliveryCommand),
    /// Put a new print of a song beside an old one: what changed, section by section and band by band
    Compare(Compare),
    /// Reckon from a room's measures in which bands it is least to be believed
    Room(Room),
}

#[derive(Args)]
pub(crate) struct Measure {
    /// Sound files: WAV, AIFF, FLAC, MP3, Ogg Vorbis, AAC
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// Put each file beside this yardstick: a name on your shelf, or a yardstick's file
    #[arg(long, value_name = "NAME|PATH")]
    pub(crate) yardstick: Option<String>,
    /// Say which limits of this delivery profile each file holds: a name (`candlemark delivery list`), or a file of yours
    #[arg(long, value_name = "NAME|PATH")]
    pub(crate) delivery: Option<String>,
    /// End with status 1 when a limit of the delivery does not hold, or it can't be told
    #[arg(long, requires = "delivery")]
    pub(crate) hold: bool,
    /// Write a print sheet: one page about all the files, to keep beside them or to print
    #[arg(long, value_name = "OUT.html")]
    pub(crate) sheet: Option<PathBuf>,
    /// Write over the sheet that is there; a file that is no sheet stays
    #[arg(long, requires = "sheet")]
    pub(crate) force: bool,
    /// Print one JSON object instead of a page
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Subcommand)]
pub(crate) enum YardstickCommand {
    /// Take a yardstick from records, and keep it on your shelf
    Take(Take),
    /// List the yardsticks on your shelf
    List {
        /// Print one JSON object instead of a page
        #[arg(long)]
        json: bool,
    },
    /// Show a yardstick: its curve and its records
    Show {
        /// A name on your shelf, or a yardstick's file
        #[arg(value_name = "NAME|PATH")]
        name: String,
        /// Put it beside this other one
        #[arg(long, value_name = "NAME|PATH")]
        against: Option<String>,
        /// Print one JSON object instead of a page
        #[arg(long)]
        json: bool,
    },
    /// Call a yardstick of your shelf by another name
    Rename {
        /// Its name
        old: String,
        /// What it is to be called
        new: String,
        /// Print one JSON object instead of a line
        #[arg(long)]
        json: bool,
    },
    /// Write a yardstick of your shelf to a file, to keep elsewhere or to lend
    Export {
        /// Its name
        name: String,
        /// The file to write, or a folder
        path: PathBuf,
        /// Take the place of a yardstick that is there already
        #[arg(long)]
        force: bool,
        /// Print one JSON object instead of a line
        #[arg(long)]
        json: bool,
    },
    /// Put a yardstick from a file on your shelf
    Import {
        /// The yardstick's file
        path: PathBuf,
        /// What to call it; its own name otherwise
        #[arg(long)]
        name: Option<String>,
        /// Take the place of the yardstick of this name
        #[arg(long)]
        force: bool,
        /// Print one JSON object instead of a page
        #[arg(long)]
        json: bool,
    },
    /// Drop a yardstick from your shelf for good
    Drop {
        /// Its name
        name: String,
        /// Print one JSON object instead of a line
        #[arg(long)]
        json: bool,
    },
}

#[derive(Args)]
pub(crate) struct Take {
    /// Sound files of the records; with three or more, a mix can be called outside them
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// What to call the yardstick
    #[arg(long)]
    pub(crate) name: String,
    /// Print one JSON object instead of a page
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Args)]
pub(crate) struct Compare {
    /// The print that was
    pub(crate) old: PathBuf,
    /// The print that is
    pub(crate) new: PathBuf,
    /// Print one JSON object instead of a page
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Args)]
#[command(allow_negative_numbers = true)]
pub(crate) struct Room {
    /// Inner length, in metres
    #[arg(value_parser = number)]
    pub(crate) length: f64,
    /// Inner width
    #[arg(value_parser = number)]
    pub(crate) width: f64,
    /// Inner height
    #[arg(value_parser = number)]
    pub(crate) height: f64,
    /// Reverberation time, where you know it; without it a furnished room's is assumed
    #[arg(long, value_name = "SECONDS", value_parser = number)]
    pub(crate) rt60: Option<f64>,
    /// From the front of the speakers to the wall behind them
    #[arg(long, value_name = "DISTANCE", value_parser = number)]
    pub(crate) from_wall: Option<f64>,
    /// The lowest frequency that your speakers reach, as their papers say
    #[arg(long, value_name = "HZ", value_parser = number)]
    pub(crate) speakers_from: Option<f64>,
    /// Keep this room: its doubtful bands are dotted in the plugin's window from then on
    #[arg(long)]
    pub(crate) keep: bool,
    /// Lengths and distance are in feet
    #[arg(long)]
    pub(crate) feet: bool,
    /// Print one JSON object instead of a page
    #[arg(long)]
    pub(crate) json: bool,
}

/// A measure as it is typed.
fn number(text: &str) -> Result<f64, String> {
    text.parse()
        .map_err(|_| "this is no number; write one without its unit, with a point, such as 4.2".to_owned())
}

#[derive(Subcommand)]
pub(crate) enum DeliveryCommand {
    /// List the delivery profiles that can be asked for by name
    List {
        /// Print one JSON object instead of a page
        #[arg(long)]
        json: bool,
    },
    /// Print a delivery profile: the text to put into a file of your own and change
    Show {
        /// A name, or a profile's file
        #[arg(value_name = "NAME|PATH")]
        name: String,
        /// Print one JSON object instead
        #[arg(long)]
        json: bool,
    },
}
