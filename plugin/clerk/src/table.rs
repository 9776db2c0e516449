//! One instance, as the clerk has it.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Weak};

use candlemark_files::kept::{Keepable, KeptFile};
use candlemark_handoff::{Audition, NOISE_A_WEIGHTED_DB, OrderSender, TapeReader};
use candlemark_session::chair::{AtChair, Knob, MonitorMark, READINGS_DBA};
use candlemark_session::remarks::{self, Remarks};
use candlemark_session::room::RoomDoubt;
use candlemark_session::view::View;
use crossbeam::channel::Receiver;

use crate::folders::{Find, Folders};
use crate::keeper::{Keeper, Told};
use crate::level_match;
use crate::moment::Moment;
use crate::order::Order;
use crate::pages::{Around, Pages};
use crate::print_sheet::PrintSheets;
use crate::published::Published;
use crate::read_out::{Outlet, ReadOut};
use crate::shown::Shown;
use crate::sittings::Sittings;
use crate::song::Song;
use crate::takings::{Ended, Takings};
use crate::understood::Understood;

/// What is shown of an instance whose song could not be worked out.
pub(crate) const FAILED: &str = "Candlemark has failed here and shows nothing more. The sound passes as it is. Save your project, and \
     take the plugin out and in again.";

/// What the clerk works with at one table.
pub(crate) struct Papers {
    pub(crate) tape: TapeReader,
    pub(crate) keeper: Arc<dyn Keeper>,
    pub(crate) audio: OrderSender,
    pub(crate) folders: Folders,
    pub(crate) orders: Receiver<Order>,
}

/// One instance, as the clerk has it.
pub(crate) struct Table {
    published: Weak<Published>,
    papers: Papers,
    song: Song,
    remarks: Remarks,
    understood: Understood,
    shelf: Arc<[String]>,
    trouble: Option<String>,
    match_db: Option<f64>,
    takings: Takings,
    outlet: Option<Outlet>,
    pages: Pages,
    sheets: PrintSheets,
    /// Bands in which the room is not to be believed, by their nominal frequencies.
    room_doubt_hz: Vec<f64>,
    /// A round has been done: the first looks at the shelf, which the host's own thread must not wait for.
    seated: bool,
}

impl Table {
    pub(crate) fn new(published: Weak<Published>, papers: Papers) -> Self {
        let song = Song::new(&papers.tape);
        let takings = Takings::new(papers.folders.shelf, Arc::clone(&papers.keeper));
        Self {
            published,
            papers,
            song,
            remarks: Remarks::default(),
            understood: Understood::default(),
            shelf: Arc::default(),
            trouble: None,
            match_db: None,
            takings,
            outlet: Outlet::of_instance(),
            pages: Pages::default(),
            sheets: PrintSheets::default(),
            room_doubt_hz: Vec::new(),
            seated: false,
        }
    }

    /// One round. A table that fails takes no other with it: it says so, and is done with.
    pub(crate) fn advance_or_give_up(&mut self, sittings: &mut Sittings, now: Moment) -> bool {
        let round = catch_unwind(AssertUnwindSafe(|| self.advance(sittings, now)));
        round.unwrap_or_else(|_| {
            self.papers.audio.let_go();
            if let Some(published) = self.published.upgrade() {
                let view = View { trouble: Some(FAILED.into()), ..View::default() };
                published.put(Shown { view, ..Shown::default() });
            }
            false
        })
    }

    /// One round. False when the instance is gone.
    fn advance(&mut self, sittings: &mut Sittings, now: Moment) -> bool {
        let Some(published) = self.published.upgrade() else { return false };
        if !std::mem::replace(&mut self.seated, true) {
            self.look_at_shelf();
            self.look_at_room();
        }
        // First, or an answer would be kept for the project before.
        let meant = self.papers.keeper.newly_opened_meant();
        let opens = meant.is_some();
        if let Some(meant) = meant {
            self.remarks.take_meant(meant);
        }
        if self.with_pages(sittings, now, Pages::open).unwrap_or(opens) {
            let ended = self.takings.leave_project(&mut self.song);
            self.tell_taking(ended, sittings, now);
        }
        let orders: Vec<Order> = self.papers.orders.try_iter().collect();
        let is_told = opens || !orders.is_empty();
        for order in orders {
            let left = self.with_pages(sittings, now, |pages, around| pages.carry_out(order, around));
            if let Some(Order::PrintSheet(path)) = &left {
                let rests = self.with_pages(sittings, now, |pages, around| pages.rests(around));
                let is_mono = self.papers.tape.activation().is_some_and(|activation| !activation.is_stereo());
                self.trouble = self.sheets.write(path, &published.get(), rests, is_mono, now).err();
            } else if let Some(order) = left {
                let ended = self.carry_out(order, now);
                self.tell_taking(ended, sittings, now);
            }
        }
        let ended = self.takings.attend(&mut self.song, now.at);
        self.tell_taking(ended, sittings, now);
        self.listen_as_set();
        let is_new = self.song.catch_up(&self.papers.tape, now.at) || is_told;
        let works = published.take_work();
        let candle = self.with_pages(sittings, now, |pages, around| {
            pages.attend(works, around);
            pages.candle(around)
        });
        let yardstick = self.papers.keeper.yardstick();
        let around = remarks::Around {
            yardstick: yardstick.as_deref(),
            stage: self.papers.keeper.told().stage,
            candle,
            chair_over_db: self.song.chair.at_chair().over_meant_db(),
        };
        let worked_out = self.song.worked_out.clone();
        let with = (yardstick.as_ref(), &around);
        let meaning = self.understood.look(is_new, &worked_out, &mut self.remarks, with, now.at);
        let mut view = View::of(self.song.desk(), worked_out, meaning, around);
        if self.song.record().is_some() {
            (view.aside, view.ear_match) = (true, None);
        }
        self.with_pages(sittings, now, |pages, around| pages.show(&mut view, around));
        if view.at_chair != AtChair::Headphones {
            view.room_doubt_hz.clone_from(&self.room_doubt_hz);
        }
        // By an answer, or because it is worse than it was meant: the project must know when it is opened again.
        if self.remarks.meant() != published.get().meant {
            self.papers.keeper.keep_meant(self.remarks.meant());
        }
        self.attend_to_audition();
        let in_use = yardstick.map(|yardstick| yardstick.name.clone());
        if let Some(outlet) = &mut self.outlet
            && outlet.is_due(now.at)
        {
            outlet.write(&ReadOut {
                candlemark: env!("CARGO_PKG_VERSION").into(),
                readings: self.song.readings_taken,
                yardstick: in_use.clone(),
                offline: self.song.is_offline(),
                view: view.clone(),
            });
        }
        let mut shown = Shown {
            view,
            shelf: Arc::clone(&self.shelf),
            in_use,
            trouble: self.trouble.clone().or_else(|| self.sheets.said(now)),
            match_db: self.match_db,
            taking: self.takings.progress(&self.song),
            meant: self.remarks.meant().to_vec(),
            ..Shown::default()
        };
        self.with_pages(sittings, now, |pages, around| pages.tell(&mut shown, around));
        published.put(shown);
        true
    }

    /// The project's songs, with all that they need.
    fn with_pages<T>(
        &mut self,
        sittings: &mut Sittings,
        now: Moment,
        work: impl FnOnce(&mut Pages, &mut Around) -> T,
    ) -> T {
        let mut around = Around {
            song: &mut self.song,
            remarks: &mut self.remarks,
            keeper: &*self.papers.keeper,
            sittings,
            now,
        };
        work(&mut self.pages, &mut around)
    }

    /// What sounds is aside, or heard on headphones, where the person has said so.
    fn listen_as_set(&mut self) {
        let Told { aside, knob, headphones, meant_dba, .. } = self.papers.keeper.told();
        self.song.tell_aside(aside);
        self.song.chair.set_knob(knob);
        self.song.chair.set_headphones(headphones);
        self.song.chair.set_meant_dba(meant_dba);
    }

    /// No audition sounds in a render. Between auditions their gains follow the song; while one sounds its gain stays, so
    /// that nothing pumps, and is only lowered where what has got louder would not fit.
    fn attend_to_audition(&mut self) {
        let audio = &self.papers.audio;
        if self.song.is_offline() {
            audio.let_go();
        }
        let Some(reading) = self.song.desk().last_reading() else { return };
        self.match_db = match audio.sounding() {
            Audition::Off => {
                for audition in Audition::ALL {
                    audio.match_level(audition, level_match::gain(audition, reading));
                }
                None
            }
            sounding => {
                let gain = level_match::lowered_to_fit(audio.matched(sounding), reading);
                audio.match_level(sounding, gain);
                Some(level_match::db(gain))
            }
        };
    }

    /// Gives what a taking came to that the order ended.
    fn carry_out(&mut self, order: Order, now: Moment) -> Option<Ended> {
        match order {
            Order::Use(name) => match (self.papers.folders.shelf)().and_then(|shelf| shelf.load(&name)) {
                Ok(yardstick) => {
                    self.papers.keeper.take_into_use(yardstick);
                    self.trouble = None;
                }
                Err(error) => self.trouble = Some(error.to_string()),
            },
            Order::UseNone => {
                self.papers.keeper.put_away();
                self.trouble = None;
            }
            // A record that plays through is no change of the song.
            Order::KeepAside if self.song.record().is_some() => {}
            Order::KeepAside => self.song.desk_mut().keep_aside(),
            Order::LookAtShelf => {
                self.look_at_shelf();
                self.look_at_room();
            }
            Order::Take(name, files) => {
                self.trouble = self.takings.begin(name, files, &mut self.song).err();
            }
            Order::TakeFromInput { name, add } => {
                self.trouble = self.takings.begin_input(name, add, &mut self.song, now.at).err();
            }
            Order::FinishInput => return self.takings.finish_input(&mut self.song),
            Order::StopTaking => self.takings.stop(&mut self.song),
            Order::Mean(rule) => self.remarks.mean(&rule),
            Order::NoLongerMean(rule) => self.remarks.no_longer_mean(&rule),
            Order::MarkMonitor(knob, read_dba) => self.mark_monitor(knob, read_dba),
            Order::ConfirmMonitor => self.song.chair.confirm(),
            Order::RestNow
            | Order::PutRestOff
            | Order::Plan(_)
            | Order::LightsOut(_)
            | Order::Mark
            | Order::Write(_)
            | Order::NameSong(_)
            | Order::NewSong
            | Order::OpenSong(_)
            | Order::PrintSheet(_) => {}
        }
        None
    }

    /// Tells what a taking came to, and notes it on the page of the song for which it is in use.
    fn tell_taking(&mut self, ended: Option<Ended>, sittings: &mut Sittings, now: Moment) {
        let Some(Ended { kept, used, said }) = ended else { return };
        if kept.is_some() {
            self.look_at_shelf();
        }
        if said.is_some() {
            self.trouble = said;
        }
        if let Some(name) = kept.filter(|_| used) {
            self.with_pages(sittings, now, |pages, around| pages.note_taking(&name, around));
        }
    }

    /// Takes over the marks of the monitors, and the room: another instance or the command may have told them.
    fn look_at_room(&mut self) {
        match loaded(self.papers.folders.monitor) {
            Ok(marks) => self.song.chair.set_marks(marks.unwrap_or_default()),
            Err(trouble) => self.trouble = Some(trouble),
        }
        match loaded(self.papers.folders.room) {
            Ok(room) => {
                let doubt = room.and_then(|room| room.doubt().ok());
                self.room_doubt_hz =
                    doubt.iter().flat_map(RoomDoubt::doubted).map(|band| band.nominal.0).collect();
            }
            Err(trouble) => self.trouble = Some(trouble),
        }
    }

    fn mark_monitor(&mut self, knob: Knob, read_dba: f64) {
        let Some(mark) = MonitorMark::new(read_dba, NOISE_A_WEIGHTED_DB) else {
            let [least, most] = READINGS_DBA;
            self.trouble = Some(format!("{read_dba} dBA is no level at a chair: from {least} to {most} is."));
            return;
        };
        // Whatever another instance has marked meanwhile stays, and a file that can't be read is left as it is.
        let saved = loaded(self.papers.folders.monitor).and_then(|marks| {
            let mut marks = marks.unwrap_or_default();
            marks.put(knob, Some(mark));
            let file = (self.papers.folders.monitor)().map_err(|error| error.to_string())?;
            file.save(&marks).map_err(|error| error.to_string())?;
            self.song.chair.set_marks(marks);
            Ok(())
        });
        self.song.chair.put_mark(knob, mark);
        self.trouble = saved.err();
    }

    /// Whether sound comes faster than time.
    pub(crate) fn is_fast(&self) -> bool {
        self.song.fast
    }

    fn look_at_shelf(&mut self) {
        match (self.papers.folders.shelf)().and_then(|shelf| shelf.list()) {
            Ok(entries) => {
                let readable = entries.into_iter().filter(|entry| entry.yardstick.is_ok());
                self.shelf = readable.map(|entry| entry.name).collect();
                self.trouble = None;
            }
            Err(error) => self.trouble = Some(error.to_string()),
        }
    }
}

/// What is kept, or what is wrong with it in words.
fn loaded<T: Keepable>(find: Find<KeptFile<T>>) -> Result<Option<T>, String> {
    let file = find().map_err(|error| error.to_string())?;
    file.load().map_err(|error| error.to_string())
}
