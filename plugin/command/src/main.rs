//! Candlemark at the command line.

mod arguments;
mod compare;
mod delivery;
mod delivery_json;
mod elsewhere;
mod json;
mod many;
mod measure;
mod pages;
mod room;
mod sentences;
mod together;
mod two_yardsticks;
mod yardstick;

use std::error::Error;
use std::process::ExitCode;

use candlemark_session::words::shown;
use clap::Parser;

use crate::arguments::{Arguments, Command};

/// How a command ended: the exit statuses are part of what the command promises.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Outcome {
    /// Everything was read, and held where that was asked.
    Done = 0,
    /// Everything was read, and something that was asked for did not hold, or can't be told.
    NotHeld = 1,
    /// A file or an argument could not be used; the others were.
    Unusable = 2,
}

/// The same of a command that ends at once where something can't be used, which is still to be told.
type Ended = Result<Outcome, Box<dyn Error>>;

fn main() -> ExitCode {
    let ended = match Arguments::parse().command {
        Command::Measure(measure) => Ok(measure::run(&measure)),
        Command::Yardstick(command) => yardstick::run(&command),
        Command::Delivery(command) => delivery::run(&command),
        Command::Compare(compare) => compare::run(&compare),
        Command::Room(room) => room::run(&room),
    };
    let outcome = ended.unwrap_or_else(|error| {
        tell(&error);
        Outcome::Unusable
    });
    ExitCode::from(outcome as u8)
}

/// Tells a person what went wrong, on standard error, in one line: a file's name may hold anything.
fn tell(trouble: &impl std::fmt::Display) {
    eprintln!("candlemark: {}", shown(trouble));
}

/// Prints on standard output: names in it are [`shown`]. A reader that has gone away (`| head`) ends the command quietly.
fn print(text: &str) {
    use std::io::Write as _;
    let mut out = std::io::stdout().lock();
    let written = writeln!(out, "{text}").and_then(|()| out.flush());
    if let Err(error) = written {
        if error.kind() != std::io::ErrorKind::BrokenPipe {
            tell(&format!("standard output can't be written: {error}"));
        }
        std::process::exit(2);
    }
}
