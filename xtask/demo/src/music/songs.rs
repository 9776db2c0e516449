//! The four songs.

use super::score::{Score, Section};

const MAJOR: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];
const MIXOLYDIAN: [i32; 7] = [0, 2, 4, 5, 7, 9, 10];
const DORIAN: [i32; 7] = [0, 2, 3, 5, 7, 9, 10];

/// The three records.
pub(crate) const RECORDS: [Score; 3] = [
    Score {
        title: "Lantern on the Slip",
        tempo_bpm: 96.0,
        key: 38,
        scale: MAJOR,
        verse: Section {
            chords: [1, 4, 1, 5, 6, 4, 5, 1],
            tune: "1:2 2:1 3:3 5:2 | 6:2 5:1 4:1 3:4 | 1:2 2:1 3:3 5:2 | 4:2 3:2 2:3 -:1 | \
                   1':2 7:1 6:3 5:2 | 6:2 5:1 4:1 6:4 | 5:2 4:1 3:1 2:2 7,:2 | 1:6 -:2",
            bass: "r...f..r",
            strum: "d.du.ud.",
            kick: "X.......x.x.....",
            snare: "....x.......x..g",
            hat: "x.g.x.g.x.g.x.g.",
        },
        chorus: Section {
            chords: [1, 4, 6, 5, 1, 4, 5, 1],
            tune: "3':3 2':1 1':2 5:2 | 6:2 1':2 1':4 | 3':3 2':1 1':2 6:2 | 2':5 -:1 2':2 | \
                   3':3 2':1 1':2 5:2 | 6:2 1':2 2':2 1':2 | 7:2 1':2 2':2 7:2 | 1':6 -:2",
            bass: "r..rf.or",
            strum: "d.dudud.",
            kick: "X.....x.X.x.....",
            snare: "....X.......X..g",
            hat: "x.x.x.x.x.x.x.o.",
        },
        voice_octave: 1,
        guitars: 1.1,
        reeds: 0.8,
        shaker: 1.0,
        room_s: 1.5,
        seed: 11,
    },
    Score {
        title: "The Other Ferry",
        tempo_bpm: 108.0,
        key: 33,
        scale: DORIAN,
        verse: Section {
            chords: [1, 1, 7, 1, 1, 4, 7, 1],
            tune: "1:1 1:1 2:1 3:3 4:2 | 5:3 4:1 3:2 1:2 | 7,:1 1:1 2:1 4:3 2:2 | 1:6 -:2 | \
                   5:1 5:1 6:1 7:3 6:2 | 6:3 5:1 4:2 6:2 | 5:2 4:1 2:1 4:2 2:2 | 1:6 -:2",
            bass: "r.r.f.r.",
            strum: "d.udd.ud",
            kick: "X.....x.X.......",
            snare: "....x..g....x...",
            hat: "x.gxx.gxx.gxx.gx",
        },
        chorus: Section {
            chords: [3, 7, 4, 1, 3, 7, 4, 1],
            tune: "5:2 7:2 1':3 7:1 | 7:2 6:2 4:4 | 6:2 1':2 6:3 5:1 | 5:5 -:1 5:2 | \
                   5:2 7:2 3':3 2':1 | 2':2 7:2 4:2 7:2 | 1':2 6:2 4:2 6:2 | 5:2 7:1 1':3 -:2",
            bass: "r.rrf.ro",
            strum: "d.uddudu",
            kick: "X..x..x.X.....x.",
            snare: "....X..g....X...",
            hat: "x.x.x.o.x.x.x.o.",
        },
        voice_octave: 2,
        guitars: 1.1,
        reeds: 1.35,
        shaker: 0.8,
        room_s: 1.2,
        seed: 23,
    },
    Score {
        title: "Nine Tides Late",
        tempo_bpm: 102.0,
        key: 36,
        scale: MIXOLYDIAN,
        verse: Section {
            chords: [1, 7, 4, 1, 1, 7, 4, 5],
            tune: "5:3 5:1 6:2 5:2 | 4:3 2:1 4:4 | 6:2 5:1 4:1 6:2 4:2 | 5:6 -:2 | \
                   1':3 1':1 7:2 5:2 | 7:2 6:1 4:1 2:4 | 4:2 5:1 6:1 1':2 6:2 | 5:6 -:2",
            bass: "r..r..f.",
            strum: "d..ud.u.",
            kick: "X.........x.....",
            snare: "........x.......",
            hat: "x...x.g.x...x.g.",
        },
        chorus: Section {
            chords: [4, 1, 7, 1, 4, 1, 5, 1],
            tune: "1':2 6:2 4:2 6:2 | 5:3 3:1 5:4 | 7:2 6:1 4:1 7:2 2':2 | 1':5 -:1 1':2 | \
                   1':2 6:2 4:2 6:2 | 5:3 3:1 1':4 | 2':2 1':1 7:1 5:2 7:2 | 1':6 -:2",
            bass: "r.fr.fro",
            strum: "d.dud.du",
            kick: "X.......X.x...x.",
            snare: "....X.......X.g.",
            hat: "x.xgx.xgx.xgx.o.",
        },
        voice_octave: 1,
        guitars: 1.0,
        reeds: 1.0,
        shaker: 1.2,
        room_s: 1.8,
        seed: 37,
    },
];

/// The mix.
pub(crate) const MIX: Score = Score {
    title: "Low Water",
    tempo_bpm: 100.0,
    key: 31,
    scale: MAJOR,
    verse: Section {
        chords: [1, 5, 6, 4, 1, 5, 4, 1],
        tune: "3:2 3:1 4:1 5:2 3:2 | 2:3 1:1 2:4 | 1:2 1:1 2:1 3:2 6:2 | 6:3 5:1 4:4 | \
               5:2 5:1 6:1 5:2 3:2 | 2:3 3:1 5:4 | 6:2 5:1 4:1 1:2 4:2 | 3:6 -:2",
        bass: "r..rf...",
        strum: "d.du.udu",
        kick: "X.......x.......",
        snare: "....x.......x...",
        hat: "x.g.x.gxx.g.x.g.",
    },
    chorus: Section {
        chords: [1, 4, 5, 6, 1, 4, 5, 1],
        tune: "5:2 1':2 3':3 2':1 | 1':2 6:2 1':4 | 2':3 1':1 7:2 5:2 | 6:5 -:1 6:2 | \
               5:2 1':2 3':3 2':1 | 1':2 6:2 1':2 2':2 | 2':3 3':1 2':2 7:2 | 1':6 -:2",
        bass: "r.frr.fo",
        strum: "d.dudud.",
        kick: "X.....x.X.......",
        snare: "....X..g....X..g",
        hat: "x.x.x.x.x.x.x.o.",
    },
    voice_octave: 2,
    guitars: 1.0,
    reeds: 1.0,
    shaker: 1.0,
    room_s: 1.5,
    seed: 53,
};
