//! `cargo xtask bundle`: the built plugin in the forms that hosts look for.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail, ensure};
use clap::Args;

use crate::{folders, process, swap};

/// Builds the plugin and lays it out as CLAP and VST3.
///
/// They end up in target/bundled (with --debug in target/bundled-debug) and are put there whole: a host that
/// reads them meanwhile sees the old or the new.
#[derive(Args)]
pub(crate) struct Options {
    /// Build quickly and with debug assertions
    #[arg(long)]
    debug: bool,
}

/// How the plugin is built.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Profile {
    Debug,
    Release,
}

impl Profile {
    pub(crate) fn of_debug(debug: bool) -> Self {
        if debug { Self::Debug } else { Self::Release }
    }

    fn built_in(self) -> PathBuf {
        folders::target().join(if self == Self::Debug { "debug" } else { "release" })
    }

    /// Where the build has left a program. Fails where there is none.
    pub(crate) fn program(self, name: &str) -> Result<PathBuf> {
        let program = self.built_in().join(format!("{name}{}", std::env::consts::EXE_SUFFIX));
        ensure!(program.exists(), "the build left no {}", program.display());
        Ok(program)
    }

    /// Builds these packages.
    pub(crate) fn build(self, packages: &[&str]) -> Result<()> {
        let mut build = process::cargo(["build", "--locked"]);
        build.args(packages.iter().flat_map(|package| ["--package", package]));
        if self == Self::Release {
            build.arg("--release");
        }
        process::run(&mut build)
    }

    fn bundled_in(self) -> PathBuf {
        folders::target().join(if self == Self::Debug { "bundled-debug" } else { "bundled" })
    }
}

/// Where the laid-out plugins are.
pub(crate) struct Bundles {
    pub(crate) clap: PathBuf,
    pub(crate) vst3: PathBuf,
}

pub(crate) fn run(options: &Options) -> Result<()> {
    let bundles = build(Profile::of_debug(options.debug))?;
    println!("{}\n{}", bundles.clap.display(), bundles.vst3.display());
    Ok(())
}

/// Builds the plugin and lays it out.
pub(crate) fn build(profile: Profile) -> Result<Bundles> {
    profile.build(&["candlemark-shell"])?;
    lay_out(profile)
}

/// Lays out the plugin that was built before.
pub(crate) fn lay_out(profile: Profile) -> Result<Bundles> {
    let system = System::here()?;
    let library = profile.built_in().join(system.built_library());
    let home = profile.bundled_in();
    let bundles = Bundles { clap: home.join("Candlemark.clap"), vst3: home.join("Candlemark.vst3") };
    let arch = std::env::consts::ARCH;
    place(&system.clap(), &library, &bundles.clap)?;
    place(&system.vst3(arch), &library, &bundles.vst3)?;
    Ok(bundles)
}

/// The systems whose bundles are known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum System {
    Linux,
    MacOs,
    Windows,
}

/// What a bundle looks like.
#[derive(Debug, PartialEq, Eq)]
enum Form {
    /// The library itself, under another name.
    Library,
    /// A folder that holds the library at this place.
    Folder { library: String },
    /// The same, with the property list that macOS wants.
    MacBundle,
}

impl System {
    fn here() -> Result<Self> {
        match std::env::consts::OS {
            "linux" => Ok(Self::Linux),
            "macos" => Ok(Self::MacOs),
            "windows" => Ok(Self::Windows),
            other => bail!("no plugin host's folders are known for {other}"),
        }
    }

    fn built_library(self) -> &'static str {
        match self {
            Self::Linux => "libcandlemark.so",
            Self::MacOs => "libcandlemark.dylib",
            Self::Windows => "candlemark.dll",
        }
    }

    fn clap(self) -> Form {
        if self == Self::MacOs { Form::MacBundle } else { Form::Library }
    }

    /// The architecture folders are those of the VST3 plug-in format's bundle layout.
    fn vst3(self, arch: &str) -> Form {
        match self {
            Self::Linux => Form::Folder { library: format!("Contents/{arch}-linux/Candlemark.so") },
            Self::MacOs => Form::MacBundle,
            Self::Windows => {
                let arch = if arch == "aarch64" { "arm64" } else { arch };
                Form::Folder { library: format!("Contents/{arch}-win/Candlemark.vst3") }
            }
        }
    }
}

fn place(form: &Form, library: &Path, place: &Path) -> Result<()> {
    swap::put(place, |staging| {
        let ready = staging.join("ready");
        match form {
            Form::Library => swap::copy(library, &ready)?,
            Form::Folder { library: inner } => put(library, &ready.join(inner))?,
            Form::MacBundle => {
                put(library, &ready.join("Contents/MacOS/Candlemark"))?;
                let contents = ready.join("Contents");
                fs::write(contents.join("Info.plist"), property_list(env!("CARGO_PKG_VERSION")))?;
                fs::write(contents.join("PkgInfo"), "BNDL????")?;
            }
        }
        Ok(ready)
    })
}

fn put(library: &Path, place: &Path) -> Result<()> {
    folders::made(place.parent().context("a library in a bundle lies in a folder")?)?;
    swap::copy(library, place)
}

fn property_list(version: &str) -> String {
    let strings = [
        ("CFBundleExecutable", "Candlemark"),
        ("CFBundleIdentifier", "org.candlemark.candlemark"),
        ("CFBundleName", "Candlemark"),
        ("CFBundlePackageType", "BNDL"),
        ("CFBundleShortVersionString", version),
        ("CFBundleSignature", "????"),
        ("CFBundleVersion", version),
    ];
    let entries = strings
        .iter()
        .flat_map(|(key, value)| ["  <key>", key, "</key>\n  <string>", value, "</string>\n"])
        .collect::<String>();
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <!DOCTYPE plist PUBLIC \"-//Apple//DTD PLIST 1.0//EN\" \
         \"http://www.apple.com/DTDs/PropertyList-1.0.dtd\">\n\
         <plist version=\"1.0\">\n<dict>\n{entries}</dict>\n</plist>\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_system_has_its_own_form() {
        assert_eq!(System::Linux.clap(), Form::Library);
        assert_eq!(
            System::Linux.vst3("x86_64"),
            Form::Folder { library: "Contents/x86_64-linux/Candlemark.so".into() }
        );
        assert_eq!(
            System::Windows.vst3("x86_64"),
            Form::Folder { library: "Contents/x86_64-win/Candlemark.vst3".into() }
        );
        assert_eq!(System::MacOs.vst3("aarch64"), Form::MacBundle);
    }

    #[test]
    fn a_bundle_replaces_the_older_one_whole() {
        let home = tempfile::tempdir().unwrap();
        let (library, vst3) = (home.path().join("library"), home.path().join("Candlemark.vst3"));
        for bytes in ["first", "second"] {
            fs::write(&library, bytes).unwrap();
            place(&System::Linux.vst3("x86_64"), &library, &vst3).unwrap();
            assert_eq!(fs::read_to_string(vst3.join("Contents/x86_64-linux/Candlemark.so")).unwrap(), bytes);
        }
        place(&Form::MacBundle, &library, &vst3).unwrap();
        assert!(vst3.join("Contents/Info.plist").exists() && vst3.join("Contents/MacOS/Candlemark").exists());
        assert!(!vst3.join("Contents/x86_64-linux").exists(), "the older bundle's library was left in it");
    }

    #[test]
    fn a_library_that_was_not_built_leaves_the_older_bundle() {
        let home = tempfile::tempdir().unwrap();
        let clap = home.path().join("Candlemark.clap");
        fs::write(&clap, "older").unwrap();
        assert!(place(&Form::Library, &home.path().join("missing"), &clap).is_err());
        assert_eq!(fs::read_to_string(&clap).unwrap(), "older");
    }
}
