//! Only the desktop window links a sound system; the plugin has the host's.

use std::path::Path;
use std::process::Command;

use candlemark_tests::paths;

/// The libraries that the system's loader must find for a program or a library.
fn needed(built: &Path) -> Vec<String> {
    let output = Command::new("readelf").args(["--dynamic", "--wide"]).arg(built).output();
    let output = output.expect("readelf (in Debian the package binutils) can be started");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let printed = String::from_utf8(output.stdout).expect("what it prints is UTF-8");
    let name =
        |line: &str| Some(line.split_once("(NEEDED)")?.1.split_once('[')?.1.split_once(']')?.0.to_owned());
    let libraries: Vec<String> = printed.lines().filter_map(name).collect();
    assert!(libraries.iter().any(|library| library.starts_with("libc.")), "{printed}");
    libraries
}

fn is_of_a_sound_system(library: &str) -> bool {
    ["libasound", "libjack", "libpipewire", "libpulse"].iter().any(|name| library.starts_with(name))
}

#[test]
fn the_plugin_and_the_command_link_no_sound_system() {
    let vst3 = paths::vst3_plugin().join(format!("Contents/{}-linux/Candlemark.so", std::env::consts::ARCH));
    for built in [paths::clap_plugin(), vst3, paths::command()] {
        let libraries = needed(&built);
        assert!(
            !libraries.iter().any(|library| is_of_a_sound_system(library)),
            "{}: {libraries:?}",
            built.display()
        );
    }
    // The same look finds one where one is.
    assert!(needed(&paths::desk()).iter().any(|library| is_of_a_sound_system(library)));
}
