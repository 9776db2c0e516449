//! Sound through the system's own sound system: a file to an output, or from an input to an output.

use std::sync::Arc;

use candlemark_analysis::Channels;
use cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use cpal::{Device, ErrorKind, Host, Stream};

use crate::arguments::SYSTEM;
use crate::card_settings::Settings;
use crate::card_streams::{input_stream, output_stream};
use crate::gate::gate;
use crate::pipe::pipe;
use crate::sound::{CAUTION, Sound, Wanted};
use crate::tally::Tally;
use crate::trouble::{Trouble, Way};

/// Opens the devices that are wanted.
pub(crate) fn open(wanted: &Wanted, tally: &Arc<Tally>) -> Result<Sound, Trouble> {
    hush();
    let way = if wanted.file.is_some() { Way::Out } else { Way::In };
    let none = |why: String| Trouble::NoDevice { way, why };
    let system = *cpal::available_hosts().first().ok_or_else(|| none("the system has none".to_owned()))?;
    let host = cpal::host_from_id(system).map_err(|error| none(plain(&error)))?;
    match wanted.file {
        Some(channels) => play(&host, wanted, channels, tally),
        None => listen(&host, wanted, tally),
    }
}

/// ALSA's library writes all that it tries in vain on standard error, on the thread that asks. What matters of it comes
/// back as an error.
fn hush() {
    #[cfg(target_os = "linux")]
    let _ = alsa::Output::local_error_handler();
}

/// A file, to an output.
fn play(host: &Host, wanted: &Wanted, channels: Channels, tally: &Arc<Tally>) -> Result<Sound, Trouble> {
    let file_hz = wanted.sample_rate_hz.unwrap_or_default();
    let (entry, mut gate) = gate();
    let fill = move |left: &mut [f32], right: &mut [f32]| gate.pass(left, right, None);
    let (stream, name) = output(host, wanted, file_hz, tally, fill)?;
    let goes = format!("sound goes to {SYSTEM}'s {name}, at {file_hz} Hz: {CAUTION}");
    Ok(Sound::new(file_hz, channels, vec![goes], entry, Box::new(stream)))
}

/// What comes in, measured as it comes, and then to an output.
fn listen(host: &Host, wanted: &Wanted, tally: &Arc<Tally>) -> Result<Sound, Trouble> {
    let source = find(host, wanted.input, Way::In)?;
    let rate_hz = match wanted.sample_rate_hz {
        Some(rate_hz) => rate_hz,
        None => source.default_input_config().map_err(|error| refused(Way::In, &error))?.sample_rate(),
    };
    let ranges = source.supported_input_configs().map_err(|error| refused(Way::In, &error))?;
    let settings = Settings::choose(ranges, rate_hz, wanted.block_frames).ok_or(Trouble::DeviceSettings {
        way: Way::In,
        asked_hz: rate_hz,
        block_frames: wanted.block_frames,
    })?;
    let channels = if settings.config.channels == 1 { Channels::Mono } else { Channels::Stereo };
    let mut notes = vec![format!("sound comes from {SYSTEM}'s {}, at {rate_hz} Hz", name(&source))];

    let (mut near, mut far) = pipe(rate_hz, tally);
    let fill = move |left: &mut [f32], right: &mut [f32]| far.take(left, right);
    let output = match (!wanted.mute).then(|| output(host, wanted, rate_hz, tally, fill)) {
        Some(Ok((stream, name))) => {
            notes.push(format!(
                "what comes in goes out to {name}: {CAUTION}. A microphone in front of open speakers feeds back \
                 (--mute lets nothing be heard)"
            ));
            Some(stream)
        }
        Some(Err(trouble)) if wanted.output.is_some() => return Err(trouble),
        Some(Err(trouble)) => {
            notes.push(format!("nothing is heard: {trouble}"));
            None
        }
        None => None,
    };

    let (entry, mut gate) = gate();
    let is_heard = output.is_some();
    let input = input_stream(&source, settings, tally, move |left, right| {
        gate.pass(left, right, None);
        if is_heard {
            near.put(left, right);
        }
    })
    .and_then(started)
    .map_err(|error| refused(Way::In, &error))?;
    Ok(Sound::new(rate_hz, channels, notes, entry, Box::new((input, output))))
}

/// An output that plays what `fill` gives it, and its name.
fn output(
    host: &Host,
    wanted: &Wanted,
    rate_hz: u32,
    tally: &Arc<Tally>,
    fill: impl FnMut(&mut [f32], &mut [f32]) + Send + 'static,
) -> Result<(Stream, String), Trouble> {
    let device = find(host, wanted.output, Way::Out)?;
    let settings = output_settings(&device, wanted, rate_hz)?;
    let stream = output_stream(&device, settings, tally, fill)
        .and_then(started)
        .map_err(|error| refused(Way::Out, &error))?;
    Ok((stream, name(&device)))
}

fn started(stream: Stream) -> Result<Stream, cpal::Error> {
    stream.play()?;
    Ok(stream)
}

fn refused(way: Way, error: &cpal::Error) -> Trouble {
    match error.kind() {
        ErrorKind::DeviceNotAvailable => Trouble::NoDevice { way, why: "none is connected".to_owned() },
        _ => Trouble::Device { way, why: plain(error) },
    }
}

/// What a library says, so that it can stand within a sentence.
fn plain(error: &cpal::Error) -> String {
    let text = error.to_string();
    let mut letters = text.trim_end_matches('.').chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

fn output_settings(device: &Device, wanted: &Wanted, rate_hz: u32) -> Result<Settings, Trouble> {
    let ranges = device.supported_output_configs().map_err(|error| refused(Way::Out, &error))?;
    Settings::choose(ranges, rate_hz, wanted.block_frames).ok_or_else(|| {
        let block_frames = wanted.block_frames;
        let otherwise = Trouble::DeviceSettings { way: Way::Out, asked_hz: rate_hz, block_frames };
        // Blocks that are too long are no matter of the file's rate.
        if block_frames.is_some() { otherwise } else { wanted.wrong_rate("the sound output", otherwise) }
    })
}

/// The device that was asked for, or the system's default.
fn find(host: &Host, asked: Option<&str>, way: Way) -> Result<Device, Trouble> {
    let Some(asked) = asked else {
        let default = match way {
            Way::In => host.default_input_device(),
            Way::Out => host.default_output_device(),
        };
        let why = || "the system names no default".to_owned();
        return default.ok_or_else(|| Trouble::NoDevice { way, why: why() });
    };
    let devices = host.devices().map_err(|error| Trouble::NoDevice { way, why: plain(&error) })?;
    let mut devices: Vec<Device> = devices
        .filter(|device| match way {
            Way::In => device.supports_input(),
            Way::Out => device.supports_output(),
        })
        .collect();
    let found = devices.iter().position(|device| {
        id(device).is_some_and(|id| id == asked)
            || device.description().is_ok_and(|told| told.name() == asked)
    });
    match found {
        Some(found) => Ok(devices.swap_remove(found)),
        None => Err(Trouble::NoSuchDevice {
            way,
            asked: asked.to_owned(),
            there: devices.iter().filter_map(id).collect(),
        }),
    }
}

/// What the system calls a device, in a word that can be typed.
fn id(device: &Device) -> Option<String> {
    Some(device.id().ok()?.id().to_owned())
}

fn name(device: &Device) -> String {
    id(device).unwrap_or_else(|| "device".to_owned())
}
