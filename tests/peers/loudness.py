"""Loudness from ITU-R BS.1770-5 (11/2023) Annex 1, written from the text with SciPy's filters.

Sounds are arrays of frames by channels in double precision, full scale 1.
"""

import numpy as np
from scipy import signal

# Annex 1, tables 1 and 2: numerator and denominator of the two stages at 48 kHz.
TABLE_RATE = 48000
SHELF = ([1.53512485958697, -2.69169618940638, 1.19839281085285], [1.0, -1.69065929318241, 0.73248077421585])
HIGH_PASS = ([1.0, -2.0, 1.0], [1.0, -1.99004745483398, 0.99007225036621])

# Annex 1, eq. (2) and its note: the gain at this frequency is what the offset cancels.
OFFSET_DB = -0.691
ANCHOR_HZ = 997.0

ABSOLUTE_GATE = -70.0
RELATIVE_GATE = -10.0


def at_rate(stage, rate):
    """A stage of the tables for another rate: through the analogue filter that it is the bilinear image of,
    with the gain at the anchor frequency kept."""
    zeros, poles, _ = signal.tf2zpk(*stage)
    fast = 2.0 * TABLE_RATE

    def analogue(roots):
        return fast * (roots - 1) / (roots + 1)

    zeros, poles, gain = signal.bilinear_zpk(analogue(zeros), analogue(poles), 1.0, rate)
    b, a = signal.zpk2tf(zeros, poles, gain)
    _, wanted = signal.freqz(*stage, worN=[ANCHOR_HZ], fs=TABLE_RATE)
    _, found = signal.freqz(b, a, worN=[ANCHOR_HZ], fs=rate)
    return b * abs(wanted[0]) / abs(found[0]), a


def k_weighted(sound, rate):
    for stage in (SHELF, HIGH_PASS):
        b, a = at_rate(stage, rate)
        sound = signal.lfilter(b, a, sound, axis=0)
    return sound


def loudness(power):
    """Loudness of a K-weighted power summed over channels."""
    with np.errstate(divide="ignore"):
        return OFFSET_DB + 10 * np.log10(power)


def powers_between(weighted, edges):
    """Mean powers, summed over channels, between successive edges (in frames)."""
    total = np.concatenate([[0.0], np.cumsum(np.sum(weighted**2, axis=1))])
    edges = np.asarray(edges)
    return np.diff(total[edges]) / np.diff(edges)


def gating_blocks(weighted, rate):
    """Powers of the blocks of 400 ms that overlap by three quarters; an incomplete last block is not used."""
    quarters = int(len(weighted) / (0.1 * rate) + 1e-9)
    edges = np.round(np.arange(quarters + 1) * 0.1 * rate).astype(int)
    total = np.concatenate([[0.0], np.cumsum(np.sum(weighted**2, axis=1))])
    starts, ends = edges[:-4], edges[4:]
    return (total[ends] - total[starts]) / (ends - starts)


def integrated(weighted, rate):
    """Integrated loudness and the higher of its two gates, both in LUFS."""
    blocks = gating_blocks(weighted, rate)
    blocks = blocks[loudness(blocks) > ABSOLUTE_GATE]
    gate = max(ABSOLUTE_GATE, loudness(np.mean(blocks)) + RELATIVE_GATE)
    return loudness(np.mean(blocks[loudness(blocks) > gate])), gate
