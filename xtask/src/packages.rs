//! Which packages cargo works on together. The desktop window needs the headers of sound systems, and cargo gives
//! packages that it builds together each other's features; so it is always built apart.

/// Everything but the desktop window.
pub(crate) const ALL_BUT_THE_DESK: [&str; 3] = ["--workspace", "--exclude", "candlemark-window"];
/// The desktop window.
pub(crate) const THE_DESK: [&str; 2] = ["--package", "candlemark-window"];
