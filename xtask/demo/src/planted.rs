//! The planted faults beside what the meter says.

use candlemark_session::remarks::{Figure, Remark};
use candlemark_session::words::{bands, clock};

use crate::music::{DRIVEN_DB, LOW_END_HZ, Made, UPPER_MIDS_DB, UPPER_MIDS_HZ};
use crate::page::hanging;

/// So far a place in the song may be told beside where the fault was planted, in seconds.
const NEAR_S: f64 = 2.0;
/// So far the edge of a range of bands may be told beside the planted one, as a ratio: a third octave.
const NEAR_BAND: f64 = 1.27;

/// One fault that was planted.
pub(crate) struct Planted {
    /// What it is, in words.
    pub(crate) what: String,
    /// The rule that is to name it.
    rule: &'static str,
    names_it: Box<dyn Fn(&Remark) -> bool>,
}

impl Planted {
    /// Whether a remark names this fault: its kind, and its place.
    pub(crate) fn is_named_by(&self, remark: &Remark) -> bool {
        remark.id == self.rule && (self.names_it)(remark)
    }
}

/// All that was planted in the mix.
pub(crate) fn all(mix: &Made) -> [Planted; 3] {
    let middle_s = mix.middle_s;
    let near = |told_hz: f64, hz: f64| (told_hz / hz).max(hz / told_hz) < NEAR_BAND;
    [
        Planted {
            what: format!(
                "low end (under {LOW_END_HZ} Hz) out of phase between the sides from {}",
                clock(middle_s)
            ),
            rule: "low-end-fold",
            names_it: Box::new(move |remark| {
                let evidence = remark.evidence;
                let is_there = evidence.at_s.is_some_and(|at_s| (at_s - middle_s).abs() < NEAR_S);
                is_there && evidence.bands_hz.is_some_and(|[_, high_hz]| high_hz <= LOW_END_HZ)
            }),
        },
        Planted {
            what: format!(
                "upper mids ({}) too bright: lifted by {UPPER_MIDS_DB} dB, and at matched loudness still by about 5",
                bands(UPPER_MIDS_HZ)
            ),
            rule: "balance",
            names_it: Box::new(move |remark| {
                let bands_hz = remark.evidence.bands_hz.unwrap_or_default();
                let is_above = matches!(remark.evidence.figure, Figure::Off(off) if off.0 > 0.0);
                is_above && bands_hz.into_iter().zip(UPPER_MIDS_HZ).all(|(told, planted)| near(told, planted))
            }),
        },
        Planted {
            what: format!("over-compressed: driven {DRIVEN_DB} dB further into its limiter than the records"),
            rule: "compression",
            names_it: Box::new(|_| true),
        },
    ]
}

/// What the planted faults and the remarks say of each other.
pub(crate) struct Verdict {
    /// Every fault was named, and nothing else was.
    pub(crate) is_well: bool,
    /// Which fault was named by which remark, for a person.
    pub(crate) told: String,
}

/// Puts what was planted beside what was said.
pub(crate) fn judge(planted: &[Planted], remarks: &[Remark]) -> Verdict {
    let mut verdict = Verdict { is_well: true, told: String::new() };
    for fault in planted {
        let named = remarks.iter().position(|remark| fault.is_named_by(remark));
        verdict.is_well &= named.is_some();
        let how = named.map_or_else(|| "NOT NAMED".to_owned(), |index| format!("remark {}", index + 1));
        verdict.told += &hanging("  ", &format!("{}: {how}", fault.what));
    }
    for remark in remarks.iter().filter(|remark| !planted.iter().any(|fault| fault.is_named_by(remark))) {
        verdict.is_well = false;
        verdict.told += &hanging("  ", &format!("Nobody planted this: {}", remark.text));
    }
    verdict.told += if verdict.is_well { "All of them, and nothing else." } else { "That is not right." };
    verdict
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::Db;
    use candlemark_session::remarks::{Evidence, Urgency};
    use candlemark_tests::sound::Sound;

    use super::*;

    fn remark(id: &str, figure: Figure, bands_hz: Option<[f64; 2]>, at_s: Option<f64>) -> Remark {
        let evidence = Evidence { figure, bands_hz, at_s };
        Remark { id: id.into(), text: format!("about {id}"), urgency: Urgency::Apart, evidence }
    }

    fn low_end(at_s: f64) -> Remark {
        remark("low-end-fold", Figure::Fold(Some(Db(-19.0))), Some([40.0, 100.0]), Some(at_s))
    }

    fn balance(off_db: f64, bands_hz: [f64; 2]) -> Remark {
        remark("balance", Figure::Off(Db(off_db)), Some(bands_hz), None)
    }

    fn compression() -> Remark {
        remark("compression", Figure::PsrLoud(Db(7.0)), None, None)
    }

    /// Whether these remarks are those that a mix with its second half from 48 s on must have.
    fn is_well(remarks: &[Remark]) -> bool {
        let mix = Made { title: "x", tempo_bpm: 100.0, middle_s: 48.0, sound: Sound::default() };
        judge(&all(&mix), remarks).is_well
    }

    #[test]
    fn every_fault_must_be_named_at_its_place_and_nothing_else() {
        let all = [low_end(48.6), balance(4.6, [2000.0, 6300.0]), compression()];
        assert!(is_well(&all));
        assert!(is_well(&[compression(), balance(4.6, [1600.0, 6300.0]), low_end(47.0)]), "in any order");
        for missing in 0..3 {
            let left: Vec<Remark> = (0..3).filter(|n| *n != missing).map(|n| all[n].clone()).collect();
            assert!(!is_well(&left), "without number {missing}");
        }
        let more = remark("dc", Figure::Dc(Db(-40.0)), None, None);
        assert!(!is_well(&[&all[..], &[more]].concat()), "with one that nobody planted");
        let [low, bright, pressed] = all;
        assert!(!is_well(&[low_end(20.0), bright.clone(), pressed.clone()]), "elsewhere in the song");
        assert!(!is_well(&[low.clone(), balance(-4.6, [2000.0, 6300.0]), pressed.clone()]), "too dull");
        assert!(!is_well(&[low, balance(4.6, [200.0, 630.0]), pressed]), "in other bands");
    }
}
