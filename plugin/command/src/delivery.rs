//! `candlemark delivery`, and what a delivery says of a measured file on its page.

use std::fmt::Write as _;

use candlemark_files::Delivery;
use candlemark_session::delivery::{Delivered, Profile};
use candlemark_session::words::shown;

use crate::arguments::DeliveryCommand;
use crate::{Ended, Outcome, delivery_json, json, print, sentences, tell};

pub(crate) fn run(command: &DeliveryCommand) -> Ended {
    match command {
        DeliveryCommand::List { json } => list(*json),
        DeliveryCommand::Show { name, json } => show(name, *json),
    }
}

fn list(as_json: bool) -> Ended {
    let all = Delivery::all()?;
    let mut outcome = Outcome::Done;
    for error in all.iter().filter_map(|delivery| delivery.profile.as_ref().err()) {
        tell(error);
        outcome = Outcome::Unusable;
    }
    print(&if as_json { json::text(&delivery_json::list(&all)) } else { page_of_all(&all) });
    Ok(outcome)
}

fn page_of_all(all: &[Delivery]) -> String {
    let names: Vec<String> = all.iter().map(|delivery| shown(&delivery.name)).collect();
    let widest = names.iter().map(|name| name.chars().count()).max().unwrap_or_default();
    let mut page = String::new();
    for (delivery, name) in all.iter().zip(&names) {
        let what = match (&delivery.profile, &delivery.path) {
            (Err(_), _) => "can't be used, see above",
            (Ok(profile), _) if !profile.source.is_empty() => &profile.source,
            _ => "your own",
        };
        let _ = writeln!(page, "  {name:<widest$}  {}", shown(what));
    }
    page.trim_end().to_owned()
}

fn show(name: &str, as_json: bool) -> Ended {
    let delivery = Delivery::find(name)?;
    let profile = delivery.profile?;
    // The text itself, so that it can be put into a file and changed.
    print(&if as_json {
        json::text(&delivery_json::Shown::new(&profile, delivery.path.as_deref()))
    } else {
        delivery.text.trim_end().to_owned()
    });
    Ok(Outcome::Done)
}

/// What a profile says of a file, as a part of its page.
pub(crate) fn part(delivered: &Delivered<'_>) -> String {
    let Profile { name, source, .. } = delivered.profile;
    let mut head = format!("\"{}\": {}", shown(name), delivered.tally());
    for line in source.lines().chain(delivered.cautions().into_iter().flat_map(str::lines)) {
        let _ = write!(head, "\n{}", shown(line));
    }
    let mut text = format!("  delivery     {}\n", sentences::indented(&head));
    for line in &delivered.lines {
        let _ = writeln!(text, "               {:<10} {}", line.verdict.words(), line.words());
    }
    text
}
