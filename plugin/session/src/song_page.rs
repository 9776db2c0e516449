//! The page of a song: what is kept of it beside its sound. Its name, its time, its rests, what was marked, written,
//! listened to, answered and taken.
//!
//! A page is a heap of dated lines. Taking a line in twice changes nothing, and neither does the order, so that two copies
//! of a page (the host project's and the journal's) are put together without doubles.

use serde::{Deserialize, Serialize};

use crate::candle;
use crate::lights_out::Listen;
use crate::pencil::{MARKS_MOST, PencilMark};
use crate::remarks::Meant;
use crate::words::one_line;

/// Lines of one kind that are kept, but for marks (ours): the latest.
const KEPT_MOST: usize = 100;

/// Letters in a song's name at most (ours).
pub const NAME_MOST: usize = 80;

/// Which song it is: given once, when it first sounds.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct SongId(String);

/// The text is no song's: 32 digits of base sixteen are.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" names no song: 32 digits of base sixteen do")]
pub struct NoSongId(String);

impl SongId {
    /// One of 128 bits that no other song has been given.
    pub fn of_bits(bits: u128) -> Self {
        Self(format!("{bits:032x}"))
    }

    /// It, as 32 digits of base sixteen: fit to name a file.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for SongId {
    type Error = NoSongId;

    fn try_from(text: String) -> Result<Self, NoSongId> {
        let is_one = text.len() == 32 && text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'));
        if is_one { Ok(Self(text)) } else { Err(NoSongId(text)) }
    }
}

impl From<SongId> for String {
    fn from(id: SongId) -> Self {
        id.0
    }
}

/// One thing that is kept, with its date.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// When it came to be so, in seconds since 1970 by the clock on the wall.
    pub at_unix_s: f64,
    /// What.
    #[serde(flatten)]
    pub item: Item,
}

/// What a line holds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Item {
    /// What a person calls the song.
    Name(String),
    /// How far its candle has burnt.
    Candle(candle::Kept),
    /// What the person gives it, and its rests.
    Times(candle::Times),
    /// A rest was taken to its end.
    Rested(bool),
    /// A mark as it is now: with what was written beside it, dealt with or not.
    Mark(PencilMark),
    /// A lights-out pass is over.
    Listen(Listen),
    /// What the person means of what was said.
    Meant(Vec<Meant>),
    /// A yardstick of this name was taken.
    Took(String),
}

/// How far a song's candle has burnt, and when that was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Burnt {
    /// How far.
    pub kept: candle::Kept,
    /// In seconds since 1970 by the clock on the wall.
    pub at_unix_s: f64,
}

/// The page of one song.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SongPage {
    /// Which song.
    pub id: SongId,
    /// Its lines, by date.
    lines: Vec<Line>,
}

impl SongPage {
    /// A page with nothing on it.
    pub fn new(id: SongId) -> Self {
        Self { id, lines: Vec::new() }
    }

    /// A page of these lines, from wherever they come.
    pub fn of(id: SongId, lines: impl IntoIterator<Item = Line>) -> Self {
        let mut page = Self::new(id);
        lines.into_iter().for_each(|line| page.take(line));
        page
    }

    /// Its lines, by date: all that there is to keep.
    pub fn lines(&self) -> &[Line] {
        &self.lines
    }

    /// Takes a line in. One that is there already, or an older state of the same thing, changes nothing; neither does
    /// one whose date is no number.
    pub fn take(&mut self, line: Line) {
        if !line.at_unix_s.is_finite() {
            return;
        }
        let mut line = line;
        let rival = self
            .lines
            .iter()
            .position(|there| there.item.is_of(&line.item, there.at_unix_s == line.at_unix_s));
        if let Some(index) = rival {
            let mut there = self.lines.remove(index);
            if line.is_before(&there) {
                std::mem::swap(&mut line, &mut there);
            }
            line.item.outlive(&there.item);
        }
        let place = self.lines.partition_point(|there| there.is_before(&line));
        self.lines.insert(place, line);
        self.let_go();
    }

    /// The oldest of a kind goes where there are more than are kept.
    fn let_go(&mut self) {
        let newest = self.lines.iter().map(|line| line.item.kind()).collect::<Vec<_>>();
        for kind in [Kind::Rested, Kind::Mark, Kind::Listen, Kind::Took] {
            let most = if kind == Kind::Mark { MARKS_MOST } else { KEPT_MOST };
            if newest.iter().filter(|there| **there == kind).count() > most
                && let Some(oldest) = newest.iter().position(|there| *there == kind)
            {
                self.lines.remove(oldest);
                return;
            }
        }
    }

    /// The date of a line that is written now, by the clock on the wall: after every line that is there. A clock that was put
    /// back would let what is said now count for nothing.
    pub fn next_date_unix_s(&self, now_unix_s: f64) -> f64 {
        let newest = self.lines.last().map_or(f64::NEG_INFINITY, |line| line.at_unix_s);
        if now_unix_s > newest { now_unix_s } else { newest.next_up() }
    }

    /// Puts another copy of the page into this one.
    pub fn merge(&mut self, other: &Self) {
        other.lines.iter().cloned().for_each(|line| self.take(line));
    }

    fn latest<'a, T>(&'a self, of: impl Fn(&'a Line) -> Option<T>) -> Option<T> {
        self.lines.iter().rev().find_map(of)
    }

    /// What a person calls the song. `None` while it has no name.
    pub fn name(&self) -> Option<&str> {
        let name = self.latest(|line| match &line.item {
            Item::Name(name) => Some(name.as_str()),
            _ => None,
        });
        name.filter(|name| !name.is_empty())
    }

    /// How far its candle has burnt. `None` while it is unlit.
    pub fn candle(&self) -> Option<Burnt> {
        self.latest(|line| match line.item {
            Item::Candle(kept) => Some(Burnt { kept, at_unix_s: line.at_unix_s }),
            _ => None,
        })
    }

    /// What the person gives it, and its rests. `None` where nobody has said.
    pub fn times(&self) -> Option<candle::Times> {
        self.latest(|line| match line.item {
            Item::Times(times) => Some(times),
            _ => None,
        })
    }

    /// What the person means of what was said.
    pub fn meant(&self) -> Option<&[Meant]> {
        self.latest(|line| match &line.item {
            Item::Meant(meant) => Some(meant.as_slice()),
            _ => None,
        })
    }

    /// Its marks, in the order in which they were made.
    pub fn marks(&self) -> Vec<PencilMark> {
        let mut marks: Vec<PencilMark> =
            self.lines.iter().filter_map(|line| line.item.mark().cloned()).collect();
        marks.sort_by(|a, b| a.made_unix_s.total_cmp(&b.made_unix_s).then(a.number.cmp(&b.number)));
        marks
    }

    /// Its lights-out passes, in their order.
    pub fn listens(&self) -> Vec<Listen> {
        let listen = |line: &Line| match line.item {
            Item::Listen(listen) => Some(listen),
            _ => None,
        };
        self.lines.iter().filter_map(listen).collect()
    }

    /// The number of the next mark, and that of the lights-out pass that is next: after all that are there.
    pub fn next_numbers(&self) -> (u32, u32) {
        let after = |numbers: &mut dyn Iterator<Item = u32>| numbers.max().unwrap_or(0).saturating_add(1);
        let marks = || self.lines.iter().filter_map(|line| line.item.mark());
        let listens = self.listens().into_iter().map(|listen| listen.number);
        (
            after(&mut marks().map(|mark| mark.number)),
            after(&mut listens.chain(marks().map(|mark| mark.listen))),
        )
    }
}

impl Line {
    /// An order among lines that is the same wherever they come from.
    fn is_before(&self, other: &Self) -> bool {
        let by_date = self.at_unix_s.total_cmp(&other.at_unix_s);
        by_date.then_with(|| self.item.rank().cmp(&other.item.rank())).is_lt()
    }
}

/// What kind of line it is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    Name,
    Candle,
    Rested,
    Mark,
    Listen,
    Meant,
    Took,
    Times,
}

impl Item {
    fn kind(&self) -> Kind {
        match self {
            Self::Name(_) => Kind::Name,
            Self::Candle(_) => Kind::Candle,
            Self::Times(_) => Kind::Times,
            Self::Rested(_) => Kind::Rested,
            Self::Mark(_) => Kind::Mark,
            Self::Listen(_) => Kind::Listen,
            Self::Meant(_) => Kind::Meant,
            Self::Took(_) => Kind::Took,
        }
    }

    fn mark(&self) -> Option<&PencilMark> {
        match self {
            Self::Mark(mark) => Some(mark),
            _ => None,
        }
    }

    /// Whether both are states of one thing, of which the later stands.
    fn is_of(&self, other: &Self, at_once: bool) -> bool {
        match (self, other) {
            (Self::Name(_), Self::Name(_))
            | (Self::Candle(_), Self::Candle(_))
            | (Self::Times(_), Self::Times(_))
            | (Self::Meant(_), Self::Meant(_)) => true,
            (Self::Mark(one), Self::Mark(other)) => {
                one.number == other.number && one.made_unix_s == other.made_unix_s
            }
            (Self::Listen(one), Self::Listen(other)) => one.ended_unix_s == other.ended_unix_s,
            (Self::Rested(_), Self::Rested(_)) => at_once,
            (Self::Took(one), Self::Took(other)) => at_once && one == other,
            _ => false,
        }
    }

    /// What burnt stays burnt, whichever copy tells of it.
    fn outlive(&mut self, older: &Self) {
        if let (Self::Candle(kept), Self::Candle(older)) = (self, older) {
            kept.burnt_s = kept.burnt_s.max(older.burnt_s);
        }
    }

    /// What decides between lines of one date.
    fn rank(&self) -> (Kind, String) {
        // What has burnt is the most that either tells, and decides nothing.
        let told = match self {
            Self::Candle(candle::Kept { worked_s, put_off, .. }) => format!("{worked_s:?} {put_off}"),
            _ => format!("{self:?}"),
        };
        (self.kind(), told)
    }
}

/// Songs of a project that are kept at most (ours).
const SONGS_MOST: usize = 40;

/// The songs of one project, one of which is worked on.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Songs {
    /// The one that is worked on. `None` before it has sounded: a project that is saved then holds no song.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    current: Option<SongId>,
    #[serde(default)]
    pages: Vec<SongPage>,
}

impl Songs {
    /// The page of the song that is worked on.
    pub fn current(&self) -> Option<&SongPage> {
        let current = self.current.as_ref()?;
        self.pages.iter().find(|page| page.id == *current)
    }

    /// Every page, in the order in which the songs were begun.
    pub fn pages(&self) -> &[SongPage] {
        &self.pages
    }

    /// Keeps a page as it is now, and works on its song. The song that was begun first goes where there are more than are
    /// kept; its journal stays.
    pub fn keep(&mut self, page: SongPage) {
        self.current = Some(page.id.clone());
        match self.pages.iter_mut().find(|there| there.id == page.id) {
            Some(there) => *there = page,
            None => self.pages.push(page),
        }
        if self.pages.len() > SONGS_MOST {
            let oldest = self.pages.iter().position(|page| Some(&page.id) != self.current.as_ref());
            oldest.map(|index| self.pages.remove(index));
        }
    }

    /// Keeps what the state before had and this one lacks: an older one, that an undo brings back, does not know of a song
    /// that was begun since, and a preset of another project knows of none here.
    pub fn keep_also(&mut self, before: Self) {
        let has = |songs: &Self, id: &SongId| songs.pages.iter().any(|page| page.id == *id);
        let lacking: Vec<SongPage> = before.pages.into_iter().filter(|page| !has(self, &page.id)).collect();
        let room = SONGS_MOST.saturating_sub(self.pages.len());
        self.pages.extend(lacking.into_iter().take(room));
    }

    /// Works on a song of the project. False when it has none of that name.
    pub fn open(&mut self, id: &SongId) -> bool {
        let there = self.pages.iter().any(|page| page.id == *id);
        if there {
            self.current = Some(id.clone());
        }
        there
    }
}

/// A song's name as it is kept: one line, no longer than [`NAME_MOST`].
pub fn clean_name(name: &str) -> String {
    one_line(name, NAME_MOST)
}

#[cfg(test)]
mod tests;
