//! The plugin in a desktop window of its own, as a person starts it: a file or live sound, on a display without a screen,
//! with and without a sound system.

mod alsa;
mod arguments;
mod controls;
mod desk;
mod file;
mod jack;
mod links;
mod runs;
