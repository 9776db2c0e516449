"""Says what any filter bank of class 1 may read of a sound: IEC 61260-1:2014 table 1, laid on its spectrum.

Usage: class_1.py FILE

Prints for each third octave under half the rate, low to high, the least and the highest level in dB, where a
full-scale sine in every channel is 0.
"""

import json
import sys

import numpy as np
import soundfile
from scipy import fft

import filter_bank

# Acceptance limits on relative attenuation, class 1: IEC 61260-1:2014 table 1, at the third-octave breakpoints of
# formula (9): frequency over mid-band, least and most attenuation in dB. Between them the limits are straight
# lines over the logarithm of frequency, formula (11). At the reciprocal frequencies the same limits hold.
LIMITS = [
    (1.0, -0.4, 0.4),
    (1.02667, -0.4, 0.5),
    (1.05575, -0.4, 0.7),
    (1.08746, -0.4, 1.4),
    (1.12201, -0.4, 5.3),
    (1.12203, 1.2, np.inf),
    (1.29437, 16.6, np.inf),
    (1.88173, 40.5, np.inf),
    (3.05365, 60.0, np.inf),
    (5.39195, 70.0, np.inf),
]


def corridors(sound, rate):
    frames = fft.next_fast_len(2 * len(sound), real=True)
    spectrum = np.sum(np.abs(fft.rfft(sound, frames, axis=0)) ** 2, axis=1)[1:]
    # Parseval: a mean square over the frames of the sound, of a spectrum of which half is kept.
    powers = 2 / frames / len(sound) * spectrum
    hertz = np.arange(1, len(spectrum) + 1) * rate / frames
    ratios, least, most = np.log([row[0] for row in LIMITS]), *np.transpose(LIMITS)[1:]
    for index in range(len(filter_bank.NOMINAL_HZ)):
        if filter_bank.edges(index)[1] > rate / 2:
            break
        away = np.abs(np.log(hertz / filter_bank.mid_band(index)))
        # Outside the edges, an attenuation may be without end.
        inside = away <= ratios[4]
        lowest = np.sum(powers[inside] * 10 ** (-np.interp(away[inside], ratios[:5], most[:5]) / 10))
        highest = np.sum(powers * 10 ** (-np.interp(away, ratios, least) / 10))
        yield 10 * np.log10(lowest), 10 * np.log10(highest)


def main(path):
    sound, rate = soundfile.read(path, dtype="float64", always_2d=True)
    assert sound.shape[1] == 2, f"{path}: two channels are needed"
    print(json.dumps(list(corridors(sound, rate))))


if __name__ == "__main__":
    main(sys.argv[1])
