//! What the pointer speaks of: a remark lights its bands or its place, and a band or a place its remark.

use candlemark_session::remarks::Remark;

/// A place in the song and one this near to it are the same to a pointer, in seconds.
const NEAR_S: f64 = 2.0;

/// What a remark under the pointer lights.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Lit {
    /// Nominal frequency of the lowest and of the highest band.
    pub(crate) bands_hz: Option<[f64; 2]>,
    /// A place in the song, in seconds.
    pub(crate) at_s: Option<f64>,
    /// A pencil mark, by its number.
    pub(crate) mark: Option<u32>,
}

impl Lit {
    pub(crate) fn by(remark: Option<&Remark>) -> Self {
        remark
            .map(|remark| Self { bands_hz: remark.evidence.bands_hz, at_s: remark.evidence.at_s, mark: None })
            .unwrap_or_default()
    }
}

/// What lies under the pointer in the pictures.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Pointed {
    /// A band, by its nominal frequency in hertz.
    pub(crate) band_hz: Option<f64>,
    /// A place in the song, in seconds.
    pub(crate) song_s: Option<f64>,
}

impl Pointed {
    /// Whether a remark speaks of what is pointed at.
    pub(crate) fn is_spoken_of_by(self, remark: &Remark) -> bool {
        let evidence = &remark.evidence;
        let band = evidence.bands_hz.zip(self.band_hz);
        let place = evidence.at_s.zip(self.song_s);
        band.is_some_and(|([low, high], hz)| (low..=high).contains(&hz))
            || place.is_some_and(|(at_s, song_s)| (at_s - song_s).abs() <= NEAR_S)
    }
}

#[cfg(test)]
mod tests {
    use candlemark_session::remarks::{Evidence, Figure, Urgency};

    use super::*;

    #[test]
    fn a_remark_and_what_it_speaks_of_find_each_other() {
        let evidence =
            Evidence { figure: Figure::Fold(None), bands_hz: Some([63.0, 100.0]), at_s: Some(128.4) };
        let remark =
            Remark { id: "low-end-fold".into(), text: String::new(), urgency: Urgency::Lost, evidence };
        assert_eq!(
            Lit::by(Some(&remark)),
            Lit { bands_hz: Some([63.0, 100.0]), at_s: Some(128.4), mark: None }
        );
        assert_eq!(Lit::by(None), Lit::default());
        let band = |hz| Pointed { band_hz: Some(hz), song_s: None }.is_spoken_of_by(&remark);
        assert_eq!([50.0, 63.0, 80.0, 100.0, 125.0].map(band), [false, true, true, true, false]);
        let place = |song_s| Pointed { band_hz: None, song_s: Some(song_s) }.is_spoken_of_by(&remark);
        assert_eq!([120.0, 127.5, 140.0].map(place), [false, true, false]);
        assert!(!Pointed::default().is_spoken_of_by(&remark));
    }
}
