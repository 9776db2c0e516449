"""Plays sound through the built VST3 plugin and compares what comes out, bit for bit.

Usage: vst3_pedalboard.py PLUGIN
"""

import json
import sys

import numpy as np
import pedalboard

RATES = [8000, 22050, 44100, 48000, 88200, 96000, 192000, 384000]
BUFFER_SIZES = [1, 17, 64, 480, 512, 4096]


def noise(channels, frames, seed, peak=0.5):
    random = np.random.default_rng(seed)
    return random.uniform(-peak, peak, (channels, frames)).astype(np.float32)


def sounds(channels, frames):
    """Sounds by name, each channels by frames, in single precision."""
    yield "noise", noise(channels, frames, 1)
    yield "silence", np.zeros((channels, frames), np.float32)
    yield "full scale", np.ones((channels, frames), np.float32)
    square = np.where(np.arange(frames) // 50 % 2 == 0, 1, -1).astype(np.float32)
    yield "a full-scale square", np.tile(square, (channels, 1))
    yield "far over full scale", noise(channels, frames, 2, peak=1e5)
    yield "denormals", (noise(channels, frames, 3) * np.float32(1e-39)).astype(np.float32)
    spoilt = noise(channels, frames, 4)
    spoilt[:, 10::101] = np.nan
    spoilt[:, 20::103] = np.inf
    spoilt[:, 30::107] = -np.inf
    yield "NaN and infinities", spoilt
    yield "noise after NaN", noise(channels, frames, 5)


def same(a, b):
    return a.shape == b.shape and np.array_equal(a.view(np.uint32), b.view(np.uint32))


def main(path):
    plugin = pedalboard.load_plugin(path)
    assert plugin.name == "Candlemark", plugin.name
    assert plugin.manufacturer_name == "Candlemark project", plugin.manufacturer_name
    assert plugin.is_effect and not plugin.is_instrument
    assert "Analyzer" in plugin.category, plugin.category
    assert plugin.reported_latency_samples == 0, plugin.reported_latency_samples

    compared = 0

    def compare(plugin, sound, rate, size, what, reset=True):
        nonlocal compared
        output = plugin.process(sound, rate, buffer_size=size, reset=reset)
        where = f"{what}, {sound.shape[0]} channels at {rate} Hz in blocks of {size}"
        assert same(output, sound), f"{where}: the output differs from the input"
        compared += 1

    for channels in (1, 2):
        for rate in RATES:
            for name, sound in sounds(channels, rate // 4):
                compare(plugin, sound, rate, 512, name)
        for size in BUFFER_SIZES:
            compare(plugin, noise(channels, 20_000, 6), 44100, size, "noise")
            # Without a reset between them, as a stream.
            for part in range(4):
                compare(plugin, noise(channels, 7919, 7 + part), 44100, size, "noise in parts", reset=False)

    # Rates that can't be measured at: the sound passes.
    for rate in (4000, 7999, 768000):
        compare(plugin, noise(2, 20_000, 8), rate, 512, "noise")

    # Two instances in turn.
    other = pedalboard.load_plugin(path)
    for part in range(5):
        compare(plugin, noise(2, 10_000, 20 + part), 48000, 256, "the first instance", reset=False)
        compare(other, noise(2, 10_000, 40 + part), 96000, 333, "the second instance", reset=False)
    del other

    # A state that is garbage.
    state = plugin.raw_state
    random = np.random.default_rng(9)
    for length in (0, 1, 8, 100, 10_000):
        for garbage in (random.bytes(length), state[:length], json.dumps({"fields": length}).encode()):
            try:
                plugin.raw_state = garbage
            except Exception as refusal:  # pylint: disable=broad-except
                print(f"refused: {refusal}", file=sys.stderr)
            compare(plugin, noise(2, 5000, 50), 48000, 512, "after a garbled state")
    plugin.raw_state = state
    assert plugin.raw_state == state
    compare(plugin, noise(2, 5000, 51), 48000, 512, "after its own state")

    print(f"{compared} sounds came out as they went in")


if __name__ == "__main__":
    main(sys.argv[1])
