//! What the clerk finds in the host's project, and keeps there.

use std::sync::Arc;

use candlemark_clerk::{Keeper, Listening};
use candlemark_session::candle::Times;
use candlemark_session::chair::Knob;
use candlemark_session::remarks::{Meant, Stage};
use candlemark_session::song_page::Songs;
use candlemark_session::yardstick::Yardstick;

use crate::framework::Settings;

impl Keeper for Settings {
    fn yardstick(&self) -> Option<Arc<Yardstick>> {
        self.yardstick.get()
    }

    fn take_into_use(&self, yardstick: Yardstick) {
        self.yardstick.take_into_use(yardstick);
    }

    fn put_away(&self) {
        self.yardstick.put_away();
    }

    fn is_aside(&self) -> bool {
        self.aside.value()
    }

    fn stage(&self) -> Stage {
        if self.printing.value() { Stage::Printing } else { Stage::Mixing }
    }

    fn times(&self) -> Times {
        let [budget_s, rest_every_s, rest_for_s] = [&self.song_time, &self.rest_every, &self.rest_for]
            .map(|minutes| 60.0 * f64::from(minutes.value()));
        Times { budget_s, rest_every_s, rest_for_s }
    }

    fn listening(&self) -> Listening {
        let knob = usize::try_from(self.knob.value()).ok().and_then(|at| Knob::ALL.get(at).copied());
        Listening {
            knob: knob.unwrap_or_default(),
            headphones: self.headphones.value(),
            meant_dba: f64::from(self.meant_level.value()),
        }
    }

    fn hand_s(&self) -> f64 {
        f64::from(self.hand.value())
    }

    fn taps(&self) -> u32 {
        self.taps.count()
    }

    fn newly_opened_meant(&self) -> Option<Vec<Meant>> {
        self.meant.newly_opened()
    }

    fn keep_meant(&self, meant: &[Meant]) {
        self.meant.keep(meant.to_vec());
    }

    fn newly_opened_songs(&self) -> Option<Songs> {
        self.songs.newly_opened()
    }

    fn keep_songs(&self, songs: &Songs) {
        self.songs.keep(songs.clone());
    }
}
