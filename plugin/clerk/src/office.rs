//! The thread, and each instance's seat at it.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError, Weak};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use candlemark_files::{FileError, Shelf};
use candlemark_handoff::{Audition, OrderSender, TapeReader};
use candlemark_session::remarks::{Meant, Remarks};
use candlemark_session::view::View;
use candlemark_session::yardstick::Yardstick;
use crossbeam::channel::{Receiver, RecvTimeoutError, Sender, TryIter, bounded, unbounded};

use crate::level_match;
use crate::published::Published;
use crate::read_out::{Outlet, ReadOut};
use crate::song::Song;
use crate::taking::{Progress, Taken, Taking};

/// How often the tapes are read: as often as readings come.
const ROUND: Duration = Duration::from_millis(100);
/// How often while sound comes faster than time, so that the tape never runs over.
const FAST_ROUND: Duration = Duration::from_millis(20);

/// Orders that wait at most: a person does not click faster.
const ORDERS: usize = 64;

/// What is shown of an instance whose song could not be worked out.
const FAILED: &str = "Candlemark has failed here and shows nothing more. The sound passes as it is. Save your project, and \
     take the plugin out and in again.";

/// Keeps the yardstick in use where the host's project is saved.
pub trait Keeper: Send + Sync {
    /// The yardstick in use.
    fn yardstick(&self) -> Option<Arc<Yardstick>>;
    /// Takes a yardstick into use.
    fn take_into_use(&self, yardstick: Yardstick);
    /// Uses none any more.
    fn put_away(&self);
    /// The person says that what sounds is aside.
    fn is_aside(&self) -> bool;
    /// The song's time, in seconds.
    fn song_time_s(&self) -> f64;
    /// What was meant of this song before, when a project has just been opened; `None` otherwise, so that it is taken once.
    fn newly_opened_meant(&self) -> Option<Vec<Meant>>;
    /// Keeps what is meant.
    fn keep_meant(&self, meant: &[Meant]);
}

/// What a person asks for that has to do with meaning or with files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Order {
    /// Put the song beside this yardstick of the shelf.
    Use(String),
    /// Put it beside none.
    UseNone,
    /// What lies aside is the song now.
    KeepAside,
    /// Look at the shelf again.
    LookAtShelf,
    /// Take a yardstick of this name from these files, put it on the shelf, and use it. What is being taken is broken off.
    Take(String, Vec<PathBuf>),
    /// Break off what is being taken.
    StopTaking,
    /// The person means what the remark of this name says.
    Mean(String),
    /// They do not mean it any more.
    NoLongerMean(String),
}

/// What there is to show of an instance.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shown {
    /// The song, the sound and the figures.
    pub view: View,
    /// Names of the yardsticks on the shelf that can be read.
    pub shelf: Arc<[String]>,
    /// Name of the yardstick in use.
    pub in_use: Option<String>,
    /// What went wrong with the last order, and what to do.
    pub trouble: Option<String>,
    /// Gain of the audition that sounds, in dB.
    pub match_db: Option<f64>,
    /// The yardstick that is being taken.
    pub taking: Option<Progress>,
    /// What the person has meant of what was said of this song.
    pub meant: Vec<Meant>,
}

/// Finds the shelf: it may come and go with a disk, so it is found anew for each piece of work.
type FindShelf = fn() -> Result<Shelf, FileError>;

/// One instance's place with the clerk. The clerk forgets the instance when it is dropped.
pub struct Seat {
    published: Arc<Published>,
    orders: Sender<Order>,
    /// Dropped last: with the last seat, the office closes.
    #[cfg_attr(not(test), expect(dead_code, reason = "it is held, not used"))]
    office: Arc<Office>,
}

impl Seat {
    /// Takes a seat for an instance with this tape and these orders to its audio thread. Begins the clerk's thread
    /// where there is none yet.
    pub fn new(tape: TapeReader, keeper: Arc<dyn Keeper>, audio: OrderSender) -> Self {
        Self::with_shelf(tape, keeper, audio, Shelf::of_user)
    }

    fn with_shelf(tape: TapeReader, keeper: Arc<dyn Keeper>, audio: OrderSender, shelf: FindShelf) -> Self {
        let office = Office::open();
        let published = Arc::new(Published::default());
        let (orders, orders_in) = bounded(ORDERS);
        let papers = Papers { tape, keeper, audio, shelf, orders: orders_in };
        let table = Table::new(Arc::downgrade(&published), papers);
        // The thread listens as long as the office is open, and this seat holds it open.
        let _ = office.joining.as_ref().map(|joining| joining.send(Box::new(table)));
        Self { published, orders, office }
    }

    /// What there is to show now.
    pub fn shown(&self) -> Arc<Shown> {
        self.published.get()
    }

    /// Calls this, on the clerk's thread, whenever there is something new to show, and nothing that was to be called
    /// before; `None` calls nothing any more.
    pub fn tell(&self, tell: Option<Arc<dyn Fn() + Send + Sync>>) {
        self.published.tell(tell);
    }

    /// Gives the clerk an order; it is carried out within a tenth of a second. False when too many wait.
    pub fn order(&self, order: Order) -> bool {
        self.orders.try_send(order).is_ok()
    }
}

/// The clerk's thread while anyone needs it.
struct Office {
    /// `None` once it closes.
    joining: Option<Sender<Box<Table>>>,
    thread: Option<JoinHandle<()>>,
}

/// The office that is open, if one is.
static OPEN: Mutex<Weak<Office>> = Mutex::new(Weak::new());

impl Office {
    /// The office that is open, or a new one.
    fn open() -> Arc<Self> {
        let mut open = OPEN.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(office) = open.upgrade() {
            return office;
        }
        let (joining, joined) = unbounded();
        // Without a thread nothing is shown, and sound passes all the same.
        let thread = thread::Builder::new().name("candlemark clerk".into()).spawn(move || work(&joined)).ok();
        let office = Arc::new(Self { joining: Some(joining), thread });
        *open = Arc::downgrade(&office);
        office
    }
}

impl Drop for Office {
    fn drop(&mut self) {
        // The thread sees that nobody can join any more, and ends within its round.
        self.joining = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

/// The thread's day.
fn work(joined: &Receiver<Box<Table>>) {
    let mut tables: Vec<Box<Table>> = Vec::new();
    let mut next = Instant::now();
    loop {
        match joined.recv_deadline(next) {
            Ok(table) => {
                tables.push(table);
                continue;
            }
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => return,
        }
        let now = Instant::now();
        tables.retain_mut(|table| table.advance_or_give_up(now));
        let fast = tables.iter().any(|table| table.song.is_fast());
        next = now + if fast { FAST_ROUND } else { ROUND };
    }
}

/// What the clerk works with at one table.
struct Papers {
    tape: TapeReader,
    keeper: Arc<dyn Keeper>,
    audio: OrderSender,
    shelf: FindShelf,
    orders: Receiver<Order>,
}

/// One instance, as the clerk has it.
struct Table {
    published: Weak<Published>,
    papers: Papers,
    song: Song,
    remarks: Remarks,
    shelf: Arc<[String]>,
    trouble: Option<String>,
    match_db: Option<f64>,
    taking: Option<Taking>,
    outlet: Option<Outlet>,
    /// A round has been done: the first looks at the shelf, which the host's own thread must not wait for.
    seated: bool,
}

impl Table {
    fn new(published: Weak<Published>, papers: Papers) -> Self {
        let song = Song::new(&papers.tape);
        Self {
            published,
            papers,
            song,
            remarks: Remarks::default(),
            shelf: Arc::default(),
            trouble: None,
            match_db: None,
            taking: None,
            outlet: Outlet::of_instance(),
            seated: false,
        }
    }

    /// One round. A table that fails takes no other with it: it says so, and is done with.
    fn advance_or_give_up(&mut self, now: Instant) -> bool {
        let round = catch_unwind(AssertUnwindSafe(|| self.advance(now)));
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
    fn advance(&mut self, now: Instant) -> bool {
        let Some(published) = self.published.upgrade() else { return false };
        if !std::mem::replace(&mut self.seated, true) {
            self.look_at_shelf();
        }
        // First, or an answer would be kept for the project before.
        if let Some(meant) = self.papers.keeper.newly_opened_meant() {
            self.remarks.take_meant(meant);
        }
        let orders: TryIter<'_, Order> = self.papers.orders.try_iter();
        for order in orders.collect::<Vec<_>>() {
            self.carry_out(order);
        }
        self.attend_to_taking();
        let keeper = &self.papers.keeper;
        self.song.desk_mut().tell_aside(keeper.is_aside());
        self.song.set_time_s(keeper.song_time_s());
        let has_new_figures = self.song.catch_up(&self.papers.tape, now);
        let yardstick = keeper.yardstick();
        let view = View::of(
            self.song.desk(),
            self.song.worked_out(),
            yardstick.as_deref(),
            &mut self.remarks,
            self.song.candle(),
        );
        // By an answer, or because it is worse than it was meant: the project must know when it is opened again.
        if self.remarks.meant() != published.get().meant {
            self.papers.keeper.keep_meant(self.remarks.meant());
        }
        self.attend_to_audition();
        let in_use = yardstick.map(|yardstick| yardstick.name.clone());
        if let Some(outlet) = self.outlet.as_ref().filter(|_| has_new_figures) {
            outlet.write(&ReadOut {
                candlemark: env!("CARGO_PKG_VERSION").into(),
                readings: self.song.readings(),
                yardstick: in_use.clone(),
                offline: self.song.is_offline(),
                view: view.clone(),
            });
        }
        published.put(Shown {
            view,
            shelf: Arc::clone(&self.shelf),
            in_use,
            trouble: self.trouble.clone(),
            match_db: self.match_db,
            taking: self.taking.as_ref().map(Taking::progress),
            meant: self.remarks.meant().to_vec(),
        });
        true
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

    fn carry_out(&mut self, order: Order) {
        match order {
            Order::Use(name) => match (self.papers.shelf)().and_then(|shelf| shelf.load(&name)) {
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
            Order::KeepAside => self.song.desk_mut().keep_aside(),
            Order::LookAtShelf => self.look_at_shelf(),
            Order::Take(name, files) => self.begin_taking(name, files),
            Order::StopTaking => self.taking = None,
            Order::Mean(rule) => self.remarks.mean(&rule),
            Order::NoLongerMean(rule) => self.remarks.no_longer_mean(&rule),
        }
    }

    /// What can be refused at once is refused before minutes of measuring.
    fn begin_taking(&mut self, name: String, files: Vec<PathBuf>) {
        match (self.papers.shelf)().and_then(|shelf| shelf.check_free(&name)) {
            Ok(()) => {
                self.taking = Some(Taking::begin(name, files));
                self.trouble = None;
            }
            Err(error) => self.trouble = Some(error.to_string()),
        }
    }

    fn attend_to_taking(&mut self) {
        let Some(taken) = self.taking.as_ref().map(Taking::look) else { return };
        match taken {
            Taken::NotYet => return,
            Taken::Refused(why) => self.trouble = Some(why),
            Taken::Done(yardstick) => match (self.papers.shelf)().and_then(|shelf| shelf.save(&yardstick)) {
                Ok(_) => {
                    self.papers.keeper.take_into_use(yardstick);
                    self.look_at_shelf();
                }
                Err(error) => self.trouble = Some(error.to_string()),
            },
        }
        self.taking = None;
    }

    fn look_at_shelf(&mut self) {
        match (self.papers.shelf)().and_then(|shelf| shelf.list()) {
            Ok(entries) => {
                let readable = entries.into_iter().filter(|entry| entry.yardstick.is_ok());
                self.shelf = readable.map(|entry| entry.name).collect();
                self.trouble = None;
            }
            Err(error) => self.trouble = Some(error.to_string()),
        }
    }
}

#[cfg(test)]
mod tests;
