//! The thread, and each instance's seat at it.

use std::sync::{Arc, Mutex, PoisonError, Weak};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use candlemark_files::journal::Journals;
use candlemark_handoff::{OrderSender, TapeReader};
use crossbeam::channel::{Receiver, RecvTimeoutError, Sender, bounded, unbounded};

use crate::folders::{Find, Folders};
use crate::keeper::Keeper;
use crate::moment::Moment;
use crate::order::Order;
use crate::published::Published;
use crate::shown::Shown;
use crate::sittings::Sittings;
use crate::table::{Papers, Table};

/// How often the tapes are read: as often as readings come.
const ROUND: Duration = Duration::from_millis(100);
/// How often while sound comes faster than time, so that the tape never runs over.
const FAST_ROUND: Duration = Duration::from_millis(20);

/// Orders that wait at most: a person does not click faster.
const ORDERS: usize = 64;

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
        Self::with_folders(tape, keeper, audio, Folders::OF_USER)
    }

    fn with_folders(tape: TapeReader, keeper: Arc<dyn Keeper>, audio: OrderSender, folders: Folders) -> Self {
        let office = Office::open(folders.journals);
        let published = Arc::new(Published::default());
        let (orders, orders_in) = bounded(ORDERS);
        let papers = Papers { tape, keeper, audio, folders, orders: orders_in };
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

    /// A hand is in the window: the song's candle burns while one works.
    pub fn work(&self) {
        self.published.work();
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
    fn open(journals: Find<Journals>) -> Arc<Self> {
        let mut open = OPEN.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(office) = open.upgrade() {
            return office;
        }
        let (joining, joined) = unbounded();
        // Without a thread nothing is shown, and sound passes all the same.
        let thread = thread::Builder::new()
            .name("candlemark clerk".into())
            .spawn(move || work(&joined, journals))
            .ok();
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
fn work(joined: &Receiver<Box<Table>>, journals: Find<Journals>) {
    let mut tables: Vec<Box<Table>> = Vec::new();
    let mut sittings = Sittings::new(journals);
    let mut next = Instant::now();
    loop {
        match joined.recv_deadline(next) {
            Ok(table) => {
                tables.push(table);
                continue;
            }
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => break,
        }
        let now = Moment::now();
        tables.retain_mut(|table| table.advance_or_give_up(&mut sittings, now));
        sittings.end_round(now);
        let fast = tables.iter().any(|table| table.is_fast());
        next = now.at + if fast { FAST_ROUND } else { ROUND };
    }
    // Nobody plays any more: what has burnt is written down.
    sittings.end_round(Moment::now());
}

#[cfg(test)]
mod tests;
