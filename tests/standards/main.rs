//! The measures against published standards, closed forms and independent implementations.

mod closed_forms;
mod ebu_loudness;
mod ebu_true_peak;
mod passes;
mod properties;
mod remarks;
mod sessions;
mod third_octaves;
