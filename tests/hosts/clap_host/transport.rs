//! Hosts that tell where in the song they are: well, badly, and not at all.

use clack_extensions::render::{PluginRender, RenderMode};
use clack_host::events::event_types::TransportFlags;
use clack_host::utils::{BeatTime, SecondsTime};

use crate::host::{Block, Instance, Placement, assert_same, blocks, playing_at};
use crate::material::noises;

const RATE: f64 = 48_000.0;

/// Blocks of 512 frames that play a chorus of four seconds from second 30 over and over.
pub(crate) fn looping(frames: usize) -> Vec<Block> {
    let mut blocks = blocks(frames, &[512]);
    for (index, block) in blocks.iter_mut().enumerate() {
        let seconds = 30.0 + (index as f64 * 512.0 / RATE) % 4.0;
        block.transport = Some(playing_at(seconds, 120.0));
    }
    blocks
}

fn passes(blocks: &[Block], what: &str) {
    let mut instance = Instance::new(2);
    instance.activate(RATE);
    let input = noises(2, 5, blocks.iter().map(|block| block.frames).sum());
    let output = instance.play(&input, blocks, Placement::InPlace);
    assert_same(&output, &input, what);
}

#[test]
fn a_transport_that_comes_and_goes() {
    let mut blocks = looping(RATE as usize * 6);
    for block in blocks.iter_mut().skip(1).step_by(3) {
        block.transport = None;
    }
    passes(&blocks, "a transport in two blocks of three");
}

#[test]
fn starts_stops_jumps_and_pre_roll() {
    let mut blocks = blocks(RATE as usize * 10, &[256]);
    for (index, block) in blocks.iter_mut().enumerate() {
        let mut transport = playing_at(index as f64 * 256.0 / RATE, 90.0 + (index / 300) as f64);
        match index / 100 % 5 {
            1 => transport.flags.remove(TransportFlags::IS_PLAYING),
            2 => transport.song_pos_seconds = SecondsTime::from_float(index as f64 * 1000.0),
            3 => transport.flags.insert(TransportFlags::IS_WITHIN_PRE_ROLL),
            4 => transport.song_pos_beats = BeatTime::from_float(-(index as f64)),
            _ => {}
        }
        block.transport = Some(transport);
    }
    passes(&blocks, "starts, stops, jumps and pre-roll");
}

#[test]
fn nonsense() {
    let mut blocks = blocks(RATE as usize * 4, &[64]);
    let tempos = [0.0, -120.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN_POSITIVE, 1e-9];
    let positions = [i64::MIN, i64::MAX, 0, -1, 1, i64::MAX / 2];
    for (index, block) in blocks.iter_mut().enumerate() {
        let mut transport = playing_at(1.0, tempos[index % tempos.len()]);
        transport.song_pos_beats = BeatTime::from_bits(positions[index % positions.len()]);
        transport.song_pos_seconds = SecondsTime::from_bits(positions[(index / 7) % positions.len()]);
        transport.flags = TransportFlags::from_bits_truncate(index as u32 % 256);
        transport.time_signature_denominator = 0;
        block.transport = Some(transport);
    }
    passes(&blocks, "a transport that makes no sense");
}

#[test]
fn a_render_between_two_playbacks() {
    let mut instance = Instance::new(2);
    for mode in [RenderMode::Realtime, RenderMode::Offline, RenderMode::Realtime] {
        let handle = instance.plugin().plugin_handle();
        let render: PluginRender = handle.get_extension().expect("it hears of renders");
        assert!(!render.has_realtime_requirement(&handle));
        instance.activate_for(mode, RATE);
        let blocks = looping(RATE as usize * 5);
        let input = noises(2, 6, RATE as usize * 5);
        let output = instance.play(&input, &blocks, Placement::InPlace);
        assert_same(&output, &input, &format!("{mode:?}"));
    }
}
