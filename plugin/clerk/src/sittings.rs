//! The songs that are open: one candle, one page and one journal a song, whichever instances it plays through.

use std::collections::HashMap;
use std::collections::hash_map::RandomState;
use std::hash::BuildHasher;
use std::sync::Arc;
use std::time::{Duration, Instant, SystemTime};

use candlemark_files::journal::{Journal, Journals, Sure};
use candlemark_session::candle::{Activity, Candle, Flame, Times};
use candlemark_session::lights_out::Listen;
use candlemark_session::pencil::PencilMark;
use candlemark_session::song_page::{Item, Line, SongId, SongPage};

use crate::folders::Find;
use crate::moment::{Moment, Passed, SLEPT_S};

/// While it burns, what has burnt is written down so often (ours).
const WRITTEN_S: f64 = 60.0;
/// A journal that can't be opened is tried again so often (ours): a disk may come back.
const TRIED_S: f64 = 60.0;

/// Two instances that sounded last within so long of each other play together (ours).
const TOGETHER: Duration = Duration::from_secs(2);

/// All songs that are open in this process.
pub(crate) struct Sittings {
    open: HashMap<SongId, Sitting>,
    /// A song was left for another in one of its windows: the other windows follow.
    moves: Vec<Move>,
    journals: Find<Journals>,
    swept: bool,
}

struct Move {
    from: SongId,
    to: SongId,
    /// When it sounded last in the window that moved.
    sounded_at: Option<Instant>,
    /// Rounds that have ended since.
    rounds: u8,
}

/// One song that is open.
pub(crate) struct Sitting {
    page: SongPage,
    /// How often the page has changed.
    pub(crate) changes: u64,
    pub(crate) candle: Candle,
    /// Rests that were taken to their end since it was opened.
    pub(crate) rests: u64,
    journal: Option<Journal>,
    journals: Find<Journals>,
    /// When it was tried to open the journal.
    tried: Moment,
    /// What could not be written to it yet.
    unwritten: Vec<(Line, Sure)>,
    /// What is wrong with the journal, and what to do.
    pub(crate) trouble: Option<String>,
    pub(crate) pencil: Arc<[PencilMark]>,
    pub(crate) listens: Arc<[Listen]>,
    /// What the instances have told in this round. `None` while none has.
    told: Option<Activity>,
    last: Moment,
    /// What of the candle is written down, and when.
    written: Option<(Candle, Moment)>,
}

impl Sittings {
    pub(crate) fn new(journals: Find<Journals>) -> Self {
        Self { open: HashMap::new(), moves: Vec::new(), journals, swept: false }
    }

    /// Sits down to a song: opens its journal where it is not open, and puts the project's copy of its page to what is
    /// there.
    pub(crate) fn sit(&mut self, copy: &SongPage, times: Times, now: Moment) -> &mut Sitting {
        if !std::mem::replace(&mut self.swept, true)
            && let Ok(journals) = (self.journals)()
        {
            journals.let_go_of_old(
                &copy.id,
                SystemTime::UNIX_EPOCH + Duration::from_secs_f64(now.unix_s.max(0.0)),
            );
        }
        let journals = self.journals;
        let sitting =
            self.open.entry(copy.id.clone()).or_insert_with(|| Sitting::open(&copy.id, journals, times, now));
        sitting.put(copy, now);
        sitting
    }

    /// The song of this name, where it is open.
    pub(crate) fn of(&mut self, id: &SongId) -> Option<&mut Sitting> {
        self.open.get_mut(id)
    }

    /// The only song that is open, if it is one: an instance that has none yet plays that.
    pub(crate) fn sole(&self) -> Option<SongId> {
        let mut ids = self.open.keys();
        ids.next().filter(|_| ids.next().is_none()).cloned()
    }

    /// A name that no song has.
    pub(crate) fn new_id() -> SongId {
        let random = || u128::from(RandomState::new().hash_one(0u8));
        SongId::of_bits(random() << 64 | random())
    }

    /// A song was left for another in one of its windows, where it sounded last at that moment.
    pub(crate) fn move_on(&mut self, from: SongId, to: SongId, sounded_at: Option<Instant>) {
        // Whoever goes back is not sent forth again.
        self.moves.retain(|made| made.from != to);
        self.moves.push(Move { from, to, sounded_at, rounds: 0 });
    }

    /// The song for which this one was just left, in another window that plays with this one. What plays at other times is
    /// another project in the same host.
    pub(crate) fn moved_on(&self, from: &SongId, sounded_at: Option<Instant>) -> Option<SongId> {
        let is_together = |made: &&Move| match (made.sounded_at, sounded_at) {
            (Some(there), Some(here)) => there.max(here) - there.min(here) <= TOGETHER,
            (there, here) => there == here,
        };
        let mut moves = self.moves.iter().rev().filter(|made| made.from == *from);
        moves.find(is_together).map(|made| made.to.clone())
    }

    /// After every instance has had its turn: lets the time pass that did, and closes the songs that none plays any more.
    pub(crate) fn end_round(&mut self, now: Moment) {
        // An instance whose turn was before that of the one that moved has seen it by the end of the next round.
        self.moves.retain_mut(|made| {
            made.rounds += 1;
            made.rounds < 2
        });
        self.open.retain(|_, sitting| {
            sitting.try_again(now);
            let told = sitting.told.take();
            if let Some(activity) = told {
                sitting.pass(activity, now);
            } else {
                sitting.write_candle(now);
            }
            told.is_some()
        });
    }
}

impl Sitting {
    fn open(id: &SongId, journals: Find<Journals>, times: Times, now: Moment) -> Self {
        let mut sitting = Self {
            page: SongPage::new(id.clone()),
            changes: 0,
            // How long a rest is decides whether the time away was one.
            candle: Candle::of(times),
            rests: 0,
            journal: None,
            journals,
            tried: now,
            unwritten: Vec::new(),
            trouble: None,
            pencil: Arc::default(),
            listens: Arc::default(),
            told: None,
            last: now,
            written: None,
        };
        sitting.open_journal(now);
        sitting.lay_out();
        sitting
    }

    /// Opens the journal, and puts what is in it to what is here.
    fn open_journal(&mut self, now: Moment) {
        self.tried = now;
        let opened = (self.journals)().map_err(|error| error.to_string());
        match opened.and_then(|journals| journals.open(&self.page.id).map_err(|error| error.to_string())) {
            Ok((journal, found)) => {
                self.journal = Some(journal);
                self.page.merge(&found.page);
                self.take_candle_up(now);
                self.trouble = None;
            }
            Err(trouble) => self.trouble = Some(trouble),
        }
    }

    /// What could not be written is not left until there is something more to write.
    fn try_again(&mut self, now: Moment) {
        if self.trouble.is_none() || now.since(self.tried).awake_s < TRIED_S {
            return;
        }
        self.tried = now;
        if self.journal.is_none() {
            self.open_journal(now);
            self.lay_out();
        }
        self.write_waiting();
    }

    /// Puts a copy of the page to what is there. What only the copy has is written to the journal too.
    fn put(&mut self, copy: &SongPage, now: Moment) {
        let before = self.page.clone();
        self.page.merge(copy);
        if self.page == before {
            return;
        }
        let new: Vec<Line> =
            self.page.lines().iter().filter(|line| !before.lines().contains(line)).cloned().collect();
        for line in &new {
            self.write_line(line, Sure::OfTheHost);
        }
        // A rest that runs is not broken by a copy that tells nothing new of the candle.
        if self.page.candle() != before.candle() {
            self.take_candle_up(now);
        }
        self.lay_out();
    }

    fn take_candle_up(&mut self, now: Moment) {
        if let Some(burnt) = self.page.candle()
            && burnt.kept.burnt_s >= self.candle.burnt_s()
        {
            self.candle.take_up(burnt.kept, now.unix_s - burnt.at_unix_s);
        }
    }

    fn lay_out(&mut self) {
        if let Some(times) = self.page.times() {
            self.candle.set_times(times.offered());
        }
        self.changes += 1;
        self.pencil = self.page.marks().into();
        self.listens = self.page.listens().into();
    }

    /// An instance tells what it heard in this round.
    pub(crate) fn tell(&mut self, activity: Activity) {
        let told = self.told.unwrap_or(Activity::Quiet);
        let is_more = |activity| match activity {
            Activity::Sound => 2,
            Activity::Work => 1,
            Activity::Quiet => 0,
        };
        self.told = Some(if is_more(activity) > is_more(told) { activity } else { told });
    }

    fn pass(&mut self, activity: Activity, now: Moment) {
        let Passed { awake_s, asleep_s } = now.since(self.last);
        // A clock that goes on while the machine sleeps tells of no round so long.
        let (awake_s, asleep_s) =
            if awake_s < SLEPT_S { (awake_s, asleep_s) } else { (0.0, awake_s + asleep_s) };
        self.last = now;
        let was_out = self.candle.flame() == Flame::Out;
        // Also where the song plays: it played when the lid was closed, and plays on.
        let slept = asleep_s > 0.0 && self.candle.advance(asleep_s, Activity::Quiet);
        let rested = self.candle.advance(awake_s, activity);
        if slept || rested {
            self.rests += 1;
            self.write(Item::Rested(true), now);
        }
        let due = self.written.is_none_or(|(_, at)| now.since(at).awake_s >= WRITTEN_S);
        let goes_out = !was_out && self.candle.flame() == Flame::Out;
        if due || goes_out || slept || rested {
            self.write_candle(now);
        }
    }

    /// Writes down how far the candle has burnt, where that is not written yet.
    fn write_candle(&mut self, now: Moment) {
        let is_new = self.written.is_none_or(|(written, _)| written.kept() != self.candle.kept());
        if let Some(kept) = self.candle.kept().filter(|_| is_new) {
            self.written = Some((self.candle, now));
            self.write(Item::Candle(kept), now);
        }
    }

    /// Writes something down, in the journal and on the page.
    pub(crate) fn write(&mut self, item: Item, now: Moment) {
        let sure = match item {
            Item::Candle(_) | Item::Rested(_) => Sure::OfTheHost,
            _ => Sure::OfTheMachine,
        };
        let line = Line { at_unix_s: self.page.next_date_unix_s(now.unix_s), item };
        self.write_line(&line, sure);
        self.page.take(line);
        self.lay_out();
    }

    /// Writes a line to the journal, and before it what could not be written then. What can't be written waits, and the
    /// trouble is told until nothing does.
    fn write_line(&mut self, line: &Line, sure: Sure) {
        if matches!(line.item, Item::Candle(_)) {
            self.unwritten.retain(|(waiting, _)| !matches!(waiting.item, Item::Candle(_)));
        }
        self.unwritten.push((line.clone(), sure));
        self.write_waiting();
    }

    fn write_waiting(&mut self) {
        let Some(journal) = &mut self.journal else { return };
        while let Some((line, sure)) = self.unwritten.first() {
            if let Err(error) = journal.write(line, *sure) {
                self.trouble = Some(error.to_string());
                return;
            }
            self.unwritten.remove(0);
        }
        self.trouble = None;
    }

    /// The person gives the song these times.
    pub(crate) fn plan(&mut self, times: Times, now: Moment) {
        if self.candle.times() != times.offered() {
            self.write(Item::Times(times), now);
        }
    }

    /// Ten minutes more before the rest.
    pub(crate) fn put_rest_off(&mut self, now: Moment) {
        if self.candle.put_rest_off() {
            self.write_candle(now);
        }
    }

    /// To be read alone: what is written goes to the journal as well.
    pub(crate) fn page(&self) -> &SongPage {
        &self.page
    }
}

#[cfg(test)]
mod tests;
