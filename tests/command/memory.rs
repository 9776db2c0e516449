//! How much memory a file takes does not depend on how long it is.

use std::fs;
use std::path::Path;
use std::process::Stdio;
use std::thread;
use std::time::Duration;

use candlemark_tests::chance::Chance;
use candlemark_tests::command::Home;
use hound::{SampleFormat, WavSpec, WavWriter};

/// What twenty minutes may take more than one: a second leaves a cell, and at the end windows are laid over the
/// cells, some KiB together. The sound of 19 minutes is 70 MiB.
const MORE_KIB: u64 = 4 * 1024;
const RATE: u32 = 16_000;

/// The most memory that the command held while it measured a file, in KiB, as the system counted it.
fn most_kib(home: &Home, path: &Path) -> u64 {
    let mut command = home.command(["measure".as_ref(), "--json".as_ref(), path.as_os_str()]);
    let mut child = command.stdout(Stdio::null()).spawn().expect("the command can be started");
    let status = format!("/proc/{}/status", child.id());
    let (mut most, mut looks) = (0, 0);
    let ended = loop {
        // The most that was ever held, so that no look comes too early; of one that has ended there is none.
        let text = fs::read_to_string(&status).expect("a Linux system tells of its processes");
        if let Some(line) = text.lines().find(|line| line.starts_with("VmHWM:")) {
            most = line.split_whitespace().nth(1).and_then(|kib| kib.parse().ok()).expect("it is in kB");
            looks += 1;
        }
        if let Some(ended) = child.try_wait().expect("the command ends") {
            break ended;
        }
        thread::sleep(Duration::from_millis(2));
    };
    assert!(ended.success() && looks > 10, "{ended}, {looks} looks");
    most
}

fn write_minutes(path: &Path, minutes: u32) {
    let spec =
        WavSpec { channels: 2, sample_rate: RATE, bits_per_sample: 16, sample_format: SampleFormat::Int };
    let mut writer = WavWriter::create(path, spec).expect("a file can be made");
    let mut chance = Chance::new(1);
    for _ in 0..minutes * 60 * RATE * 2 {
        // Any sound will do.
        writer.write_sample(chance.below(16_384) as i16 - 8192).expect("a sample can be written");
    }
    writer.finalize().expect("the file can be closed");
}

#[test]
fn twenty_minutes_take_no_more_memory_than_one() {
    let home = Home::new();
    let [one, twenty] = [1, 20].map(|minutes| {
        let path = home.folder().join(format!("{minutes}.wav"));
        write_minutes(&path, minutes);
        most_kib(&home, &path)
    });
    println!("1 minute: {one} KiB, 20 minutes: {twenty} KiB");
    assert!(twenty < one + MORE_KIB, "1 minute: {one} KiB, 20 minutes: {twenty} KiB");
}
