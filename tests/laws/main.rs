//! Checks of the laws of the house (DEVELOPERS.md lists them all), each of which fails when its law is broken.
//!
//! A law that is told by reading the sources is a function from a source to its breaches, tried first on a
//! bad sample: a check that can't fail would hold nothing.

mod constants;
mod dependencies;
mod documents;
mod files;
mod lints;
mod outside_world;
mod pretence;
mod rooms;
mod sources;
mod tokens;
mod units;
mod unsafe_code;
