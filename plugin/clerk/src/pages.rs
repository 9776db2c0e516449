//! The songs of an instance's project, of which one is worked on: its candle, its page, and what is tapped in the dark.

use std::sync::Arc;
use std::time::Instant;

use candlemark_session::as_heard::as_heard;
use candlemark_session::candle::{Activity, Candle, Times};
use candlemark_session::chair::AtChair;
use candlemark_session::lights_out::{LightsOut, Listen};
use candlemark_session::pencil::PencilMark;
use candlemark_session::remarks::{Meant, Remarks};
use candlemark_session::song_page::{Item, Line, SongId, SongPage, Songs, clean_name};
use candlemark_session::view::{View, WorkedOut};

use crate::keeper::Keeper;
use crate::moment::Moment;
use crate::order::Order;
use crate::shown::Shown;
use crate::sittings::{Sitting, Sittings};
use crate::song::Song;

/// What an instance has of its songs.
#[derive(Default)]
pub(crate) struct Pages {
    songs: Songs,
    /// The song that is worked on. `None` before it has sounded.
    id: Option<SongId>,
    /// Changes of its page that the project has, and rests that the Desk knows of.
    kept_changes: u64,
    known_rests: u64,
    known_taps: u32,
    /// The song's time and its rests as the host last had them here.
    known_times: Option<Times>,
    /// When it sounded here last.
    sounded_at: Option<Instant>,
    /// What is meant, as far as the page and this instance agree.
    known_meant: Vec<Meant>,
    /// The number of the lights-out pass that runs; `None` until something of it is written down.
    listen: Option<u32>,
    /// What there is to choose from.
    names: Arc<[(SongId, String)]>,
}

/// What an instance's songs are attended to with.
pub(crate) struct Around<'a> {
    pub(crate) song: &'a mut Song,
    pub(crate) remarks: &'a mut Remarks,
    pub(crate) keeper: &'a dyn Keeper,
    pub(crate) sittings: &'a mut Sittings,
    pub(crate) now: Moment,
}

impl Pages {
    /// Takes what a project that has just been opened holds. Gives whether it may be another project than before: with no
    /// song in it there is nothing to know it by. `None` where nothing was opened that holds songs.
    pub(crate) fn open(&mut self, around: &mut Around) -> Option<bool> {
        let songs = around.keeper.newly_opened_songs()?;
        if songs.pages().is_empty() && self.id.is_some() {
            // A state of before the first sound, by an undo or a preset: what was heard and marked since stays.
            self.sit(around);
            return Some(true);
        }
        let opened = songs.current().map(|page| page.id.clone());
        let is_another = opened.is_none() || opened != self.id;
        let before = std::mem::replace(&mut self.songs, songs);
        self.songs.keep_also(before);
        self.list();
        // The same again is an undo, or a preset, and changes nothing of what was heard.
        if opened != self.id {
            if self.id.is_some() {
                around.song.begin_anew();
            }
            self.id = opened;
            self.sit(around);
        }
        // An older state may lack what came since.
        self.kept_changes = 0;
        Some(is_another)
    }

    /// Sits down to the song that is worked on.
    fn sit(&mut self, around: &mut Around) {
        let Some(id) = self.id.clone() else { return };
        let copy = self.songs.current().filter(|page| page.id == id).cloned();
        let sitting = around.sittings.sit(
            &copy.unwrap_or_else(|| SongPage::new(id)),
            around.keeper.told().times,
            around.now,
        );
        self.kept_changes = 0;
        self.known_times = Some(around.keeper.told().times);
        self.known_rests = sitting.rests;
        self.known_meant = sitting.page().meant().unwrap_or_default().to_vec();
        // What a project of before there were pages had meant comes onto the page.
        if sitting.page().meant().is_some() {
            around.remarks.take_meant(self.known_meant.clone());
        }
    }

    /// Carries out what has to do with the song. Gives back what has not.
    pub(crate) fn carry_out(&mut self, order: Order, around: &mut Around) -> Option<Order> {
        let now = around.now;
        match order {
            Order::LightsOut(out) => self.turn_lights(out, around),
            Order::Mark => self.mark(around),
            Order::NewSong => self.move_on(Sittings::new_id(), around),
            Order::OpenSong(id) => {
                if self.songs.open(&id) {
                    self.move_on(id, around);
                }
            }
            Order::NameSong(name) => {
                if self.sitting(around.sittings).is_none() {
                    self.begin(Sittings::new_id(), around);
                }
                self.sitting(around.sittings)?.write(Item::Name(clean_name(&name)), now);
            }
            Order::RestNow => self.sitting(around.sittings)?.candle.rest_now(),
            Order::Plan(times) => self.sitting(around.sittings)?.plan(times, now),
            Order::PutRestOff => self.sitting(around.sittings)?.put_rest_off(now),
            Order::Write(mut mark) => {
                let note = std::mem::take(&mut mark.note);
                mark.write(&note);
                self.sitting(around.sittings)?.write(Item::Mark(mark), now);
            }
            order => return Some(order),
        }
        None
    }

    /// Another song, in this window and in those that play the song of before with it: there is one candle.
    fn move_on(&mut self, id: SongId, around: &mut Around) {
        if let Some(from) = self.id.clone().filter(|from| *from != id) {
            around.sittings.move_on(from, id.clone(), self.sounded_at);
        }
        self.begin(id, around);
    }

    /// Another song of the project, with nothing heard.
    fn begin(&mut self, id: SongId, around: &mut Around) {
        around.song.begin_anew();
        *around.remarks = Remarks::default();
        self.id = Some(id);
        self.sit(around);
    }

    fn turn_lights(&mut self, out: bool, around: &mut Around) {
        // The song may not have sounded yet: nobody knows which it is, and what is on its page.
        self.listen = None;
        around.song.dark = out.then(|| LightsOut::new(around.keeper.told().hand_s));
    }

    /// A tap in the dark: it is on the page, and in the journal, before it is shown.
    fn mark(&mut self, around: &mut Around) {
        let Some(sitting) = self.sitting(around.sittings) else { return };
        let Some((at, read)) = around.song.dark.as_mut().and_then(LightsOut::mark) else { return };
        let (number, next_listen) = sitting.page().next_numbers();
        let mark = PencilMark {
            number,
            listen: *self.listen.get_or_insert(next_listen),
            made_unix_s: sitting.page().next_date_unix_s(around.now.unix_s),
            at,
            read,
            note: String::new(),
            dealt_with: false,
        };
        sitting.write(Item::Mark(mark), around.now);
    }

    /// One round, after the tape was read. `works` says whether a hand is in the window.
    pub(crate) fn attend(&mut self, works: bool, around: &mut Around) {
        let activity = around.song.activity(around.now.at, works);
        if activity == Activity::Sound {
            self.sounded_at = Some(around.now.at);
        }
        if self.id.is_none() && activity == Activity::Sound {
            // A second instance in the same project plays the same song.
            self.id = Some(around.sittings.sole().unwrap_or_else(Sittings::new_id));
            self.sit(around);
        }
        if let Some(next) = self.id.as_ref().and_then(|id| around.sittings.moved_on(id, self.sounded_at)) {
            self.songs.open(&next);
            self.begin(next, around);
        }
        let taps = around.keeper.told().taps;
        if std::mem::replace(&mut self.known_taps, taps) != taps {
            self.mark(around);
        }
        let Some(id) = self.id.clone() else { return };
        if around.sittings.of(&id).is_none() {
            self.sit(around);
        }
        let Some(sitting) = around.sittings.of(&id) else { return };
        sitting.tell(activity);
        // What was told last stands, in whichever window or host's list that was; an instance that is new changes nothing.
        let times = around.keeper.told().times;
        if self.known_times.replace(times).is_some_and(|before| before != times) {
            sitting.plan(times, around.now);
        }
        if std::mem::replace(&mut self.known_rests, sitting.rests) != sitting.rests {
            around.song.desk_mut().rest();
        }
        if let Some(played_s) = around.song.listened_s.take() {
            let figures = WorkedOut::of(around.song.desk()).song;
            let number = self.listen.take().unwrap_or_else(|| sitting.page().next_numbers().1);
            let listen = Listen::of(number, around.now.unix_s, played_s, &figures);
            sitting.write(Item::Listen(listen), around.now);
        }
        let on_page = sitting.page().meant().unwrap_or_default();
        if around.remarks.meant() != self.known_meant {
            // Answered here.
            self.known_meant = around.remarks.meant().to_vec();
            sitting.write(Item::Meant(self.known_meant.clone()), around.now);
        } else if on_page != self.known_meant {
            // Answered in another window on the same song.
            self.known_meant = on_page.to_vec();
            around.remarks.take_meant(self.known_meant.clone());
        }
        if std::mem::replace(&mut self.kept_changes, sitting.changes) != sitting.changes {
            let page = sitting.page().clone();
            // A song that has never sounded is none: a project that is saved so is a template.
            if sitting.candle.kept().is_some() || page.name().is_some() {
                self.songs.keep(page);
                around.keeper.keep_songs(&self.songs);
            }
            self.list();
        }
    }

    fn list(&mut self) {
        let name = |page: &SongPage| (page.id.clone(), page.name().unwrap_or_default().to_owned());
        self.names = self.songs.pages().iter().map(name).collect();
    }

    fn sitting<'a>(&self, sittings: &'a mut Sittings) -> Option<&'a mut Sitting> {
        sittings.of(self.id.as_ref()?)
    }

    /// Rests of the song that were taken to their end.
    pub(crate) fn rests(&self, around: &mut Around) -> usize {
        let rested = |line: &Line| matches!(line.item, Item::Rested(true));
        let sitting = self.sitting(around.sittings);
        sitting.map_or(0, |sitting| sitting.page().lines().iter().filter(|line| rested(line)).count())
    }

    /// A yardstick of this name was taken.
    pub(crate) fn note_taking(&self, name: &str, around: &mut Around) {
        let now = around.now;
        if let Some(sitting) = self.sitting(around.sittings) {
            sitting.write(Item::Took(name.to_owned()), now);
        }
    }

    /// The song's candle; an unlit one before it has sounded.
    pub(crate) fn candle(&self, around: &mut Around) -> Candle {
        let unlit = Candle::of(around.keeper.told().times);
        self.sitting(around.sittings).map_or(unlit, |sitting| sitting.candle)
    }

    /// Puts what there is to show of the song into its places.
    pub(crate) fn show(&self, view: &mut View, around: &mut Around) {
        view.dark = around.song.dark.as_ref().map(LightsOut::dark);
        view.at_chair = around.song.chair.at_chair();
        // To the decibel: it is a line to look at, and is not drawn anew for less.
        view.as_heard = match view.at_chair {
            AtChair::Level(level) => level.averaged_dba.map(|dba| as_heard(dba.round())),
            _ => None,
        };
        if let Some(sitting) = self.sitting(around.sittings) {
            view.song_name = sitting.page().name().map(str::to_owned);
            view.pencil = Arc::clone(&sitting.pencil);
            view.listens = Arc::clone(&sitting.listens);
        }
    }

    /// The same, of what does not belong to the picture.
    pub(crate) fn tell(&self, shown: &mut Shown, around: &mut Around) {
        shown.songs = Arc::clone(&self.names);
        shown.song.clone_from(&self.id);
        if shown.trouble.is_none() {
            shown.trouble = self.sitting(around.sittings).and_then(|sitting| sitting.trouble.clone());
        }
    }
}
