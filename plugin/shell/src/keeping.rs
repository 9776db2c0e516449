//! What the clerk finds in the host's project, and keeps there.

use std::sync::Arc;
use std::sync::atomic::Ordering;

use candlemark_clerk::{Keeper, Told};
use candlemark_session::candle::Times;
use candlemark_session::remarks::{Meant, Stage};
use candlemark_session::song_page::Songs;
use candlemark_session::yardstick::Yardstick;

use crate::framework::Settings;
use crate::parameters;

impl Keeper for Settings {
    fn yardstick(&self) -> Option<Arc<Yardstick>> {
        self.yardstick.get()
    }

    fn take_into_use(&self, yardstick: Yardstick) {
        self.yardstick.take_into_use(yardstick);
        self.untold.store(true, Ordering::Relaxed);
    }

    fn put_away(&self) {
        self.yardstick.put_away();
        self.untold.store(true, Ordering::Relaxed);
    }

    fn told(&self) -> Told {
        let [budget_s, rest_every_s, rest_for_s] = [&self.song_time, &self.rest_every, &self.rest_for]
            .map(|minutes| 60.0 * f64::from(minutes.value()));
        Told {
            aside: self.aside.value(),
            stage: if self.printing.value() { Stage::Printing } else { Stage::Mixing },
            times: Times { budget_s, rest_every_s, rest_for_s },
            knob: parameters::knob_at(self.knob.value()).unwrap_or_default(),
            headphones: self.headphones.value(),
            meant_dba: f64::from(self.meant_level.value()),
            hand_s: f64::from(self.hand.value()),
            taps: self.taps.load(Ordering::Relaxed),
        }
    }

    fn newly_opened_meant(&self) -> Option<Vec<Meant>> {
        self.meant.newly_opened()
    }

    fn keep_meant(&self, meant: &[Meant]) {
        self.meant.keep(meant.to_vec());
        self.untold.store(true, Ordering::Relaxed);
    }

    fn newly_opened_songs(&self) -> Option<Songs> {
        self.songs.newly_opened()
    }

    fn keep_songs(&self, songs: &Songs) {
        self.songs.keep(songs.clone());
    }
}
