//! Where in the song a block lies, as the host tells it.

/// The place of a block's first frame, and how the place moves from there.
///
/// A host that tells nothing gives [`Position::UNKNOWN`]; a file gives [`Position::in_file`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// Whether the host's transport runs. Without a transport, `None`: sound itself then begins and ends
    /// passes.
    pub playing: Option<bool>,
    /// Song position of the first frame, in frames from the song's start; negative before it.
    pub song_frame: Option<i64>,
    /// Song position of the first frame, in quarter notes from the song's start.
    pub beats: Option<f64>,
    /// Tempo at the first frame, in quarter notes a minute.
    pub tempo_bpm: Option<f64>,
    /// The host plays its pre-roll: nothing of it fills a cell.
    pub preroll: bool,
    /// The host says that it renders offline.
    pub offline: bool,
}

impl Position {
    /// The host tells nothing about its transport.
    pub const UNKNOWN: Self = Self {
        playing: None,
        song_frame: None,
        beats: None,
        tempo_bpm: None,
        preroll: false,
        offline: false,
    };

    /// The place of a file's frame `song_frame`: it plays, and has no beats.
    pub const fn in_file(song_frame: i64) -> Self {
        Self {
            playing: Some(true),
            song_frame: Some(song_frame),
            beats: None,
            tempo_bpm: None,
            preroll: false,
            offline: true,
        }
    }
}
