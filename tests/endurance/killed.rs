//! A host that is killed at any instant takes nothing with it that was confirmed on screen.

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Write};
use std::process::Stdio;
use std::sync::Arc;
use std::time::{Duration, Instant};

use candlemark_analysis::{Analyzer, Channels, Hertz, Position};
use candlemark_clerk::{Keeper, Order, Seat, Told};
use candlemark_files::journal::Journals;
use candlemark_handoff::{Tape, orders};
use candlemark_session::remarks::Meant;
use candlemark_session::song_page::{SongId, Songs};
use candlemark_session::yardstick::Yardstick;
use candlemark_tests::chance::Chance;
use candlemark_tests::command::HOME_VARIABLE;
use candlemark_tests::own_process;

/// How often a host is killed.
const KILLS: usize = 50;
/// A host that has not come up by then does not.
const COMING_UP: Duration = Duration::from_secs(30);
/// Set in the process that is a host.
const HOST: &str = "CANDLEMARK_TEST_HOST";

/// A project that is never saved: nothing but the journal can keep anything.
struct NeverSaved;

impl Keeper for NeverSaved {
    fn yardstick(&self) -> Option<Arc<Yardstick>> {
        None
    }

    fn take_into_use(&self, _: Yardstick) {}

    fn put_away(&self) {}

    fn told(&self) -> Told {
        Told { hand_s: 0.0, ..Told::default() }
    }

    fn newly_opened_songs(&self) -> Option<Songs> {
        None
    }

    fn keep_songs(&self, _: &Songs) {}

    fn newly_opened_meant(&self) -> Option<Vec<Meant>> {
        None
    }

    fn keep_meant(&self, _: &[Meant]) {}
}

/// A host that plays a song in the dark while a hand taps and writes notes as fast as the clerk takes them. Prints each
/// thing once it is on screen; ends only by being killed.
fn be_a_host() -> ! {
    let rate = Hertz(48_000.0);
    let (mut writer, reader) = Tape::new();
    writer.activate(rate, Channels::Stereo);
    let (sender, _receiver) = orders();
    let seat = Seat::new(reader, Arc::new(NeverSaved), sender);
    let mut analyzer = Analyzer::new(rate, Channels::Stereo).expect("it can be measured at");
    let mut out = std::io::stdout();
    let mut say = |words: String| {
        writeln!(out, "{words}").and_then(|()| out.flush()).expect("somebody listens");
    };
    let (mut frame, mut told) = (0usize, BTreeSet::new());
    let sine: Vec<f32> = (0..480).map(|n| 0.1 * (f64::from(n) * 0.131).sin() as f32).collect();
    loop {
        let position = Position { offline: false, ..Position::in_file(frame as i64) };
        analyzer.push(&sine, &sine, position, &mut writer);
        frame += sine.len();
        std::thread::sleep(Duration::from_millis(10));
        let shown = seat.shown();
        let Some(song) = &shown.song else { continue };
        if told.insert("song".to_owned()) {
            say(format!("song {}", song.as_str()));
        }
        if shown.view.dark.is_none() {
            seat.order(Order::LightsOut(true));
        }
        seat.order(Order::Mark);
        for mark in &*shown.view.pencil {
            let state = format!("mark {} {:?} {:?}", mark.number, mark.made_unix_s, mark.note);
            if told.insert(state.clone()) {
                say(state);
                let mut noted = mark.clone();
                noted.note = format!("the {} of them", mark.number);
                seat.order(Order::Write(noted));
            }
        }
    }
}

/// Starts a host, kills it after so long, and gives what it had on screen.
fn killed_after(home: &std::path::Path, patience: Duration) -> Vec<String> {
    let mut command =
        own_process::again("killed::nothing_that_was_on_screen_is_lost_when_the_host_is_killed");
    command.env(HOST, "1").env(HOME_VARIABLE, home).stdout(Stdio::piped()).stderr(Stdio::null());
    let mut host = command.spawn().expect("the test can run itself");
    let out = BufReader::new(host.stdout.take().expect("it is piped"));
    let (send, lines) = std::sync::mpsc::channel();
    let reader =
        std::thread::spawn(move || out.lines().map_while(Result::ok).try_for_each(|line| send.send(line)));
    let mut on_screen = Vec::new();
    // It has time to come up; from when the song is there the clock runs.
    let mut until = Instant::now() + COMING_UP;
    while let Ok(line) = lines.recv_timeout(until.saturating_duration_since(Instant::now())) {
        if line.starts_with("song ") {
            until = Instant::now() + patience;
        }
        on_screen.push(line);
    }
    host.kill().expect("it runs");
    host.wait().expect("it ends");
    // What it had printed before it was killed was on screen as well.
    on_screen.extend(lines);
    reader.join().expect("it has read to the end").expect("somebody listens");
    on_screen
}

#[test]
fn nothing_that_was_on_screen_is_lost_when_the_host_is_killed() {
    if std::env::var_os(HOST).is_some() {
        be_a_host();
    }
    let (mut marks, mut notes, mut torn) = (0, 0, 0);
    // Instants that no clock of ours is in step with, from at once to a second and a half.
    let mut chance = Chance::new(1);
    for kill in 0..KILLS {
        let home = tempfile::tempdir().expect("there is room");
        let on_screen = killed_after(home.path(), Duration::from_millis(chance.below(1500)));
        let id = on_screen.iter().find_map(|line| line.strip_prefix("song ")).expect("a song was on screen");
        let id = SongId::try_from(id.to_owned()).expect("it names a song");
        let (_, found) =
            Journals::at(home.path().join("journals")).open(&id).expect("the journal can be read");
        assert_eq!(found.unreadable, 0, "kill {kill}");
        torn += usize::from(found.cut_bytes > 0);
        let kept = found.page.marks();
        for line in on_screen.iter().filter(|line| line.starts_with("mark ")) {
            let is_kept = kept.iter().any(|mark| {
                let named = format!("mark {} {:?} ", mark.number, mark.made_unix_s);
                // A later note may have been written over what was on screen, and never the other way round.
                line.strip_prefix(&named)
                    .is_some_and(|note| note == "\"\"" || note == format!("{:?}", mark.note))
            });
            assert!(is_kept, "kill {kill}: {line} is lost; kept are {kept:?}");
            if line.ends_with("\"\"") { marks += 1 } else { notes += 1 }
        }
    }
    println!(
        "{KILLS} kills: {marks} marks and {notes} notes had been on screen, none is lost; {torn} torn lines were cut off"
    );
    assert!(marks > KILLS && notes > KILLS / 2, "{marks} marks, {notes} notes: too little was tried");
}
