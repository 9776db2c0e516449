//! Where the engine comes to the audio thread: the sound system runs already, and nothing sounds before.

use rtrb::{Consumer, Producer, RingBuffer};

use crate::engine::{Engine, Place};

/// Where a system's own block can't be passed as it is, it is passed in pieces of so many frames at most.
pub(crate) const PIECE_FRAMES: usize = 1024;

/// The audio thread's side.
pub(crate) struct Gate {
    coming: Consumer<Box<Engine>>,
    engine: Option<Box<Engine>>,
}

/// The other side, through which one engine goes.
pub(crate) struct Entry(Producer<Box<Engine>>);

/// Makes both.
pub(crate) fn gate() -> (Entry, Gate) {
    let (entry, coming) = RingBuffer::new(1);
    (Entry(entry), Gate { coming, engine: None })
}

impl Entry {
    /// Sends the engine in: from the next block on it plays.
    pub(crate) fn send(mut self, engine: Engine) {
        // There is room for one, and this is the one.
        let _ = self.0.push(Box::new(engine));
    }
}

impl Gate {
    /// Passes a block through the engine, as [`Engine::pass`]. Before it has come, silence takes the block's place.
    pub(crate) fn pass(&mut self, left: &mut [f32], right: &mut [f32], place: Option<Place>) {
        if self.engine.is_none() {
            self.engine = self.coming.pop().ok();
        }
        if let Some(engine) = &mut self.engine {
            engine.pass(left, right, place);
        } else {
            left.fill(0.0);
            right.fill(0.0);
        }
    }
}
