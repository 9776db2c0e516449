//! `candlemark room`.

use std::error::Error;
use std::fmt::Write as _;

use candlemark_files::kept::KeptFile;
use candlemark_session::room::{Reason, Room, RoomDoubt};
use candlemark_session::words::{hertz, number};
use serde::Serialize;

use crate::{Ended, Outcome, arguments, json, print, sentences};

/// Metres in a foot: the international foot of 1959, exactly.
const METRES_IN_A_FOOT: f64 = 0.3048;

pub(crate) fn run(asked: &arguments::Room) -> Ended {
    let metres = if asked.feet { METRES_IN_A_FOOT } else { 1.0 };
    let room = Room {
        sides_m: [asked.length, asked.width, asked.height].map(|side| side * metres),
        rt60_s: asked.rt60,
        from_wall_m: asked.from_wall.map(|from| from * metres),
        speakers_from_hz: asked.speakers_from,
    };
    let doubt = room.doubt()?;
    // It is reckoned all the same where it can't be kept; what went wrong is told after it, where it is seen.
    let kept = if asked.keep { keep(&room) } else { Ok(()) };
    print(&if asked.json { json::text(&Told::new(&room, doubt)) } else { page(&room, &doubt) });
    kept.map(|()| Outcome::Done)
}

fn keep(room: &Room) -> Result<(), Box<dyn Error>> {
    Ok(KeptFile::of_user()?.save(room)?)
}

/// What the reckoning leaves out, and what to do with it.
const ADVICE: &str = "This is arithmetic about a bare box, not a measurement: furniture, doors and where you sit are not in it. In \
                      these bands, hear a record you trust in the same chair, or headphones, before you change the mix.";

fn page(room: &Room, doubt: &RoomDoubt) -> String {
    let [length, width, height] = room.sides_m.map(|side| number(side, 2));
    let mut page =
        format!("a room of {length} by {width} by {height} m, {} m³\n\n", number(room.volume_m3(), 1));
    let assumed = if doubt.rt60_assumed { ", assumed: a furnished room's; --rt60 says yours" } else { "" };
    let _ = writeln!(page, "  reverberation  {} s{assumed}", number(doubt.rt60_s, 2));
    let _ = writeln!(
        page,
        "  Schroeder      {} Hz: under it single modes of the room are heard, {} of them",
        number(doubt.schroeder_hz, 0),
        doubt.modes.len()
    );
    if let Some(hz) = doubt.wall_cancels_hz {
        let _ = writeln!(page, "  wall behind    takes most near {} Hz, a quarter wave away", number(hz, 0));
    }
    let _ = writeln!(page, "\n{:>11}{:>7}{:>10}  to doubt", "Hz", "modes", "average");
    for band in &doubt.bands {
        let reasons: Vec<String> = band.reasons.iter().map(Reason::words).collect();
        let worst = if band.worst { "most of all: " } else { "" };
        let _ = writeln!(
            page,
            "{:>11}{:>7}{:>10}  {worst}{}",
            hertz(band.nominal.0),
            band.modes,
            number(band.expected_modes, 1),
            reasons.join("; ")
        );
    }
    // Lines without a doubt end in spaces otherwise.
    let lines: Vec<&str> = page.lines().map(str::trim_end).collect();
    format!("{}\n\n{}", lines.join("\n"), sentences::paragraph(ADVICE))
}

/// `room --json`.
#[derive(Serialize)]
struct Told {
    length_m: f64,
    width_m: f64,
    height_m: f64,
    #[serde(flatten)]
    doubt: RoomDoubt,
}

impl Told {
    fn new(room: &Room, doubt: RoomDoubt) -> Self {
        let [length_m, width_m, height_m] = room.sides_m;
        Self { length_m, width_m, height_m, doubt }
    }
}
