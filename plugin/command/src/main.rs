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

use std::process::ExitCode;

use candlemark_session::words::shown;
use clap::Parser;

use crate::arguments::{Arguments, Command};

/// How a command ended: the exit statuses are part of what the command promises.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Outcome {
    /// Everything was read, and held where that was asked.
    Done,
    /// Everything was read, and something that was asked for did not hold, or can't be told.
    NotHeld,
    /// A file or an argument could not be used; the others were.
    Unusable,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        match outcome {
            Outcome::Done => Self::SUCCESS,
            Outcome::NotHeld => Self::from(1),
            Outcome::Unusable => Self::from(2),
        }
    }
}

fn main() -> ExitCode {
    let outcome = match Arguments::parse().command {
        Command::Measure(measure) => measure::run(&measure),
        Command::Yardstick(yardstick) => yardstick::run(&yardstick.command),
        Command::Delivery(delivery) => delivery::run(&delivery.command),
        Command::Compare(compare) => compare::run(&compare),
        Command::Room(room) => room::run(&room),
    };
    outcome.into()
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
