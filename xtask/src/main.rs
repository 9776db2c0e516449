//! The one door for a developer: `cargo xtask --help`.

mod apt;
mod bench;
mod bundle;
mod check;
mod demo;
mod folders;
mod fuzz;
mod install;
mod music;
mod packages;
mod pictures;
mod process;
mod python;
mod setup;
mod swap;
mod test;
mod tools;
mod totals;
mod trial;

use std::process::ExitCode;

use clap::Parser;

/// Shows, tests, checks, measures, bundles and installs Candlemark.
#[derive(Parser)]
#[command(bin_name = "cargo xtask", max_term_width = 100)]
enum Task {
    Demo(demo::Options),
    Test(test::Options),
    Pictures(pictures::Options),
    Check(check::Options),
    Bench(bench::Options),
    Bundle(bundle::Options),
    Install(install::Options),
    /// Removes what `install` put in place, and says what it removed
    ///
    /// The plugin in this user's own CLAP and VST3 folders, the `candlemark` command, and `candlemark-desk`.
    /// Yardsticks and songs stay.
    Uninstall,
    /// Installs and fetches what the tests need from outside, and stops there
    ///
    /// System packages that are missing (by apt-get; without root rights it names the command instead), the
    /// tests' Python environment in target/venv, real music in target/music. `test` begins with the same.
    Setup,
    #[command(subcommand)]
    Trial(trial::Trial),
}

fn main() -> ExitCode {
    let done = match Task::parse() {
        Task::Demo(options) => demo::run(&options),
        Task::Test(options) => test::run(&options),
        Task::Pictures(options) => pictures::run(&options),
        Task::Check(_) => check::run(),
        Task::Bench(options) => bench::run(&options),
        Task::Bundle(options) => bundle::run(&options),
        Task::Install(options) => install::run(&options),
        Task::Uninstall => install::uninstall(),
        Task::Setup => setup::run(),
        Task::Trial(trial) => trial::run(&trial),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}
