//! The demo: `cargo xtask demo`.

use std::process::ExitCode;

use candlemark_demo::arguments::Arguments;
use candlemark_demo::place::Place;
use clap::Parser;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let done = Place::of(arguments.into.as_deref()).and_then(|place| {
        place
            .in_a_process_of_its_own(&arguments)?
            .map_or_else(|| candlemark_demo::run(&arguments, &place), Ok)
    });
    done.unwrap_or_else(|error| {
        eprintln!("error: {error:#}");
        ExitCode::FAILURE
    })
}
