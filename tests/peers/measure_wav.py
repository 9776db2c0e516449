"""Measures a WAV file with NumPy and SciPy alone, and prints what it found as one JSON object.

Usage: measure_wav.py [--without-bands] FILE

A cell is one second. It is gated when its K-weighted loudness lies above the gates of the integrated loudness;
fold, correlation, bands and the mean under the crest factor are those of the gated cells. A relative level is the median, over windows of three
whole cells whose loudness lies above the gates, of the band's level less the window's own loudness.
"""

import json
import sys

import numpy as np
import soundfile

import filter_bank
import loudness

WINDOW_CELLS = 3
# A cell counts for windows when this much of it is there.
FILLED = 0.9


def decibels(power):
    return 10 * float(np.log10(power)) if power > 0 else None


def fold_db(left, right, mid):
    return decibels(2 * mid / (left + right))


def correlation(left, right, mid):
    return (2 * mid - (left + right) / 2) / float(np.sqrt(left * right))


def crest_db(sound, left, right, frames):
    """The largest sample over the root mean square of the gated sound, whose power is the mean over the channels."""
    return 20 * float(np.log10(np.abs(sound).max())) - decibels((left + right) / 2 / frames)


def energies(sound, edges):
    """Energies of left, right and mid between successive edges."""
    left, right = sound[:, 0], sound[:, 1]
    totals = [np.concatenate([[0.0], np.cumsum(part**2)]) for part in (left, right, (left + right) / 2)]
    return np.array([np.diff(total[edges]) for total in totals])


def windows(cells):
    """Sums over every three successive cells."""
    return np.convolve(cells, np.ones(WINDOW_CELLS), mode="valid")


def measure(path, with_bands):
    sound, rate = soundfile.read(path, dtype="float64", always_2d=True)
    assert sound.shape[1] == 2, f"{path}: two channels are needed"
    weighted = loudness.k_weighted(sound, rate)
    integrated, gate = loudness.integrated(weighted, rate)

    edges = np.append(np.arange(0, len(sound), rate), len(sound))
    lengths = np.diff(edges)
    weighted_cells = energies(weighted, edges)
    cell_loudness = loudness.loudness((weighted_cells[0] + weighted_cells[1]) / lengths)
    gated = cell_loudness > gate
    frames = lengths[gated].sum()

    filled = lengths >= FILLED * rate
    assert np.all(filled[:-1])
    whole = np.count_nonzero(filled)
    window_frames = windows(lengths[:whole])
    window_loudness = loudness.loudness(windows((weighted_cells[0] + weighted_cells[1])[:whole]) / window_frames)
    loud = window_loudness > gate

    plain = energies(sound, edges)[:, gated].sum(axis=1)
    found = []
    for nominal, filtered, band_rate, delay in filter_bank.bands(sound, rate) if with_bands else ():
        cells = filter_bank.energies_between(filtered, band_rate, delay, edges / rate) * (rate / band_rate)
        left, right, mid = cells[:, gated].sum(axis=1) / frames
        band = windows((cells[0] + cells[1])[:whole]) / window_frames
        found.append({
            "hz": nominal,
            "level_db": decibels(left + right),
            "relative_db": float(np.median(10 * np.log10(band[loud]) - window_loudness[loud])),
            "fold_db": fold_db(left, right, mid),
            "correlation": correlation(left, right, mid),
        })  # fmt: skip
    return {
        "integrated_lufs": float(integrated),
        "cells": len(lengths),
        "gated_cells": int(np.count_nonzero(gated)),
        "fold_db": fold_db(*weighted_cells[:, gated].sum(axis=1)),
        "correlation": correlation(*plain),
        "crest_db": crest_db(sound, *plain[:2], frames),
        "bands": found[::-1],
    }


def main(arguments):
    with_bands = arguments[0] != "--without-bands"
    print(json.dumps(measure(arguments[-1], with_bands)))


if __name__ == "__main__":
    main(sys.argv[1:])
