//! What the clerk finds in the host's project, and keeps there.

use std::sync::Arc;
use std::sync::atomic::Ordering;

use candlemark_clerk::{Keeper, Told};
use candlemark_session::candle::Times;
use candlemark_session::remarks::{Meant, Stage};
use candlemark_session::song_page::{SongId, Songs};
use candlemark_session::yardstick::Yardstick;

use crate::framework::Settings;
use crate::parameters;

impl Keeper for Settings {
    fn yardstick(&self) -> Option<Arc<Yardstick>> {
        self.yardstick.get()
    }

    fn take_into_use(&self, yardstick: Yardstick) {
        self.yardstick.take_into_use(yardstick);
        self.untold.note();
    }

    fn put_away(&self) {
        self.yardstick.put_away();
        self.untold.note();
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
        if self.meant.keep(meant.to_vec()).is_some_and(|before| before != meant) {
            self.untold.note();
        }
    }

    fn newly_opened_songs(&self) -> Option<Songs> {
        self.songs.newly_opened()
    }

    fn keep_songs(&self, songs: &Songs) {
        let Some(before) = self.songs.keep(songs.clone()) else { return };
        let (before, now) = (chosen(&before), chosen(songs));
        // That a first song began to sound is no choice of a person's.
        let is_choice = before.is_some() || now.is_some_and(|(_, name)| name.is_some());
        if before != now && is_choice {
            self.untold.note();
        }
    }
}

/// What a person has chosen of the songs: which one is worked on, and its name. Time goes by itself.
fn chosen(songs: &Songs) -> Option<(&SongId, Option<&str>)> {
    songs.current().map(|page| (&page.id, page.name()))
}

#[cfg(test)]
mod tests {
    use candlemark_handoff::{Tape, orders};
    use candlemark_session::song_page::{Item, Line, SongPage};
    use nice_plug::params::persist::PersistentField;

    use super::*;
    use crate::saved_once::Saved;

    fn settings() -> Settings {
        Settings::new(&Tape::new().1, &orders().0)
    }

    fn is_untold(settings: &Settings) -> bool {
        settings.untold.tell(settings.changed.value()).is_some()
    }

    fn meant() -> Vec<Meant> {
        vec![Meant { id: "dc".into(), text: String::new(), figure: None, bands_hz: None }]
    }

    fn page(song: u128, name: Option<&str>, dates: f64) -> SongPage {
        let name = name.map(|name| Line { at_unix_s: dates, item: Item::Name(name.into()) });
        let rest = Line { at_unix_s: dates, item: Item::Rested(true) };
        SongPage::of(SongId::of_bits(song), name.into_iter().chain([rest]))
    }

    #[test]
    fn a_yardstick_that_is_chosen_or_put_away_is_to_be_told() {
        let settings = settings();
        assert!(!is_untold(&settings));
        settings.take_into_use(Yardstick { name: "kitchen".into(), records: Vec::new() });
        assert!(is_untold(&settings));
        settings.put_away();
        assert!(is_untold(&settings));
        assert!(!is_untold(&settings));
    }

    #[test]
    fn what_a_project_was_opened_with_is_not() {
        let settings = settings();
        settings.put_away();
        settings.format.set(Saved::Kept(4));
        assert!(!is_untold(&settings), "it was of the project before");
        settings.meant.set(Saved::Kept(meant()));
        let held = settings.newly_opened_meant().unwrap();
        settings.keep_meant(&held);
        assert!(!is_untold(&settings));
        settings.keep_meant(&[]);
        assert!(is_untold(&settings), "said again");
    }

    #[test]
    fn which_song_is_worked_on_and_its_name_are_and_what_time_does_to_it_is_not() {
        let settings = settings();
        let mut songs = Songs::default();
        for (page, is_told, what) in [
            (page(1, None, 1.0), false, "it sounds for the first time"),
            (page(1, None, 2.0), false, "it goes on"),
            (page(1, Some("Low Water"), 3.0), true, "it is named"),
            (page(1, Some("Low Water"), 4.0), false, "it goes on under its name"),
            (page(2, None, 5.0), true, "another is begun"),
            (page(1, Some("Low Water"), 6.0), true, "the first is opened again"),
        ] {
            songs.keep(page);
            settings.keep_songs(&songs);
            assert_eq!(is_untold(&settings), is_told, "{what}");
        }
    }

    #[test]
    fn a_song_that_is_named_before_it_sounds_is() {
        let settings = settings();
        let mut songs = Songs::default();
        songs.keep(page(1, Some("Low Water"), 1.0));
        settings.keep_songs(&songs);
        assert!(is_untold(&settings));
    }
}
