//! Which packages cargo works on together. The desktop window needs the headers of sound systems, and cargo gives
//! packages that it builds together each other's features; so it is always built apart. The fuzz targets are built with the fuzzer's own flags.

/// Everything but the desktop window and the fuzz targets.
pub(crate) const TOGETHER: [&str; 5] =
    ["--workspace", "--exclude", "candlemark-window", "--exclude", "candlemark-fuzz"];
/// The fuzz targets.
pub(crate) const THE_FUZZ: [&str; 2] = ["--package", "candlemark-fuzz"];
/// The desktop window.
pub(crate) const THE_DESK: [&str; 2] = ["--package", "candlemark-window"];
