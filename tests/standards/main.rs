//! The measures against published standards, closed forms and independent implementations.

mod band_delays;
mod calibration_noise;
mod class_1;
mod closed_forms;
mod crest;
mod deliveries;
mod drift;
mod ebu_loudness;
mod ebu_true_peak;
mod k_weighting;
mod known_sounds;
mod multisine;
mod passes;
mod properties;
mod remarks;
mod sessions;
mod third_octaves;
mod true_peak_of_tones;

/// The rates of files and of hosts, at which the measures are tried.
const RATES: [f64; 5] = [44_100.0, 48_000.0, 88_200.0, 96_000.0, 192_000.0];
