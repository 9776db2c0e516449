//! The modes of a box with hard walls.

use serde::Serialize;

/// Between how many pairs of walls a mode runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ModeKind {
    /// One pair.
    Axial,
    /// Two.
    Tangential,
    /// All three.
    Oblique,
}

/// A mode of a room.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Mode {
    /// Its frequency, in hertz.
    #[serde(rename = "hz")]
    pub at_hz: f64,
    /// Between how many pairs of walls it runs.
    pub kind: ModeKind,
    /// Half waves along the length, the width and the height.
    pub half_waves: [u32; 3],
}

/// Every mode up to a frequency, from low to high: f = c/2·√((nx/Lx)² + (ny/Ly)² + (nz/Lz)²), Kuttruff, Room Acoustics,
/// ch. 3 (from memory).
pub(super) fn modes_up_to(sides_m: [f64; 3], up_to_hz: f64, speed_m_s: f64) -> Vec<Mode> {
    let most = sides_m.map(|side| (2.0 * side * up_to_hz / speed_m_s) as u32);
    let mut modes = Vec::new();
    for x in 0..=most[0] {
        for y in 0..=most[1] {
            for z in 0..=most[2] {
                let half_waves = [x, y, z];
                let squares = half_waves.iter().zip(sides_m).map(|(n, side)| (f64::from(*n) / side).powi(2));
                let at_hz = 0.5 * speed_m_s * squares.sum::<f64>().sqrt();
                let kind = match half_waves.iter().filter(|n| **n > 0).count() {
                    0 => continue,
                    1 => ModeKind::Axial,
                    2 => ModeKind::Tangential,
                    _ => ModeKind::Oblique,
                };
                if at_hz <= up_to_hz {
                    modes.push(Mode { at_hz, kind, half_waves });
                }
            }
        }
    }
    modes.sort_by(|a, b| a.at_hz.total_cmp(&b.at_hz));
    modes
}

/// How many modes up to a frequency a room of such sides has, smoothed over frequency: volume, walls and edges each add
/// theirs. Kuttruff, Room Acoustics, ch. 3 (from memory).
pub(super) fn smooth_count(sides_m: [f64; 3], hz: f64, speed_m_s: f64) -> f64 {
    use std::f64::consts::PI;
    let [x, y, z] = sides_m;
    let waves_in_a_metre = hz / speed_m_s;
    let volume = 4.0 * PI / 3.0 * x * y * z * waves_in_a_metre.powi(3);
    let walls = PI / 4.0 * 2.0 * (x * y + y * z + z * x) * waves_in_a_metre.powi(2);
    let edges = 4.0 * (x + y + z) / 8.0 * waves_in_a_metre;
    volume + walls + edges
}
