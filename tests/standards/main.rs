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
