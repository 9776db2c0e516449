//! Sound through a JACK server: one client with two inputs and two outputs.

use std::sync::Arc;

use candlemark_analysis::Channels;
use jack::{
    AsyncClient, AudioIn, AudioOut, Client, ClientOptions, Control, NotificationHandler, Port, PortFlags,
    ProcessHandler, ProcessScope, TransportState,
};
use nice_assert_no_alloc::assert_no_alloc;

use crate::engine::Place;
use crate::gate::{Gate, PIECE_FRAMES, gate};
use crate::sound::{CAUTION, Sound, Wanted};
use crate::tally::Tally;
use crate::trouble::{Trouble, Way};

/// What others see it as.
const NAME: &str = "Candlemark";

/// What JACK calls ports for sound, in part: a pattern for looking them up.
const SOUND: &str = "audio";

/// Opens a client, if a server runs, and connects its output, and its input where one was named.
pub(crate) fn open(wanted: &Wanted, tally: &Arc<Tally>) -> Result<Sound, Trouble> {
    let (client, _) = Client::new(NAME, ClientOptions::NO_START_SERVER).map_err(|error| match error {
        jack::Error::LibraryError(why) => Trouble::NoJackLibrary(why),
        jack::Error::ClientError(_) => Trouble::NoJackServer,
        other => Trouble::Jack(other),
    })?;
    let sample_rate_hz = client.sample_rate();
    if let Some(asked_hz) = wanted.sample_rate_hz.filter(|asked_hz| *asked_hz != sample_rate_hz) {
        let otherwise = Trouble::JackRate { runs_hz: sample_rate_hz, asked_hz };
        return Err(wanted.wrong_rate("JACK", otherwise));
    }
    let sources = wanted.input.map(|asked| find(&client, asked, Way::In)).transpose()?;
    let sinks = match wanted.output {
        Some(asked) => Some(find(&client, asked, Way::Out)?),
        None => speakers(&client),
    };
    let sinks = sinks.filter(|_| !wanted.mute);

    let is_live = wanted.file.is_none();
    let input = |name| client.register_port(name, AudioIn::default()).map_err(Trouble::Jack);
    let inputs = if is_live { Some([input("in_left")?, input("in_right")?]) } else { None };
    let output = |name| client.register_port(name, AudioOut::default()).map_err(Trouble::Jack);
    let outputs = if wanted.mute { None } else { Some([output("out_left")?, output("out_right")?]) };
    let (entry, gate) = gate();
    let cycle = Cycle { inputs, outputs, gate, planes: Box::new([[0.0; PIECE_FRAMES]; 2]) };
    let client = client.activate_async(Watch(Arc::clone(tally)), cycle).map_err(Trouble::Jack)?;
    connect(&client, sources.as_ref(), sinks.as_ref())?;

    // Another of us may have the name already; JACK gives the next a number.
    let name = client.as_client().name();
    let mut notes = vec![format!("sound goes through JACK, at {sample_rate_hz} Hz")];
    if !wanted.mute {
        notes.push(CAUTION.into());
    }
    if is_live && sources.is_none() {
        notes.push(format!(
            "nothing is connected to its input yet: connect {name}:in_left and {name}:in_right, or name a source with \
             --input"
        ));
    }
    if sinks.is_none() && !wanted.mute {
        notes.push(format!("nothing is heard yet: connect {name}:out_left and {name}:out_right"));
    }
    let channels = wanted.file.unwrap_or(Channels::Stereo);
    Ok(Sound::new(sample_rate_hz, channels, notes, entry, Box::new(client)))
}

/// What is done in each of JACK's cycles.
struct Cycle {
    /// Left and right; none while a file is played.
    inputs: Option<[Port<AudioIn>; 2]>,
    /// Left and right; none while nothing is to be heard.
    outputs: Option<[Port<AudioOut>; 2]>,
    gate: Gate,
    /// Without an output, what comes in is measured in pieces.
    planes: Box<[[f32; PIECE_FRAMES]; 2]>,
}

impl ProcessHandler for Cycle {
    fn process(&mut self, client: &Client, scope: &ProcessScope) -> Control {
        assert_no_alloc(|| self.pass(client, scope));
        Control::Continue
    }
}

impl Cycle {
    fn pass(&mut self, client: &Client, scope: &ProcessScope) {
        let mut place = self.inputs.as_ref().and_then(|_| place(client));
        let inputs = self.inputs.as_ref().map(|ports| ports.each_ref().map(|port| port.as_slice(scope)));
        if let Some(outputs) = &mut self.outputs {
            let [left, right] = outputs.each_mut().map(|port| port.as_mut_slice(scope));
            if let Some([left_in, right_in]) = inputs {
                left.copy_from_slice(left_in);
                right.copy_from_slice(right_in);
            }
            self.gate.pass(left, right, place);
        } else if let Some([left_in, right_in]) = inputs {
            for (left_in, right_in) in left_in.chunks(PIECE_FRAMES).zip(right_in.chunks(PIECE_FRAMES)) {
                let [left, right] = self.planes.each_mut().map(|plane| &mut plane[..left_in.len()]);
                left.copy_from_slice(left_in);
                right.copy_from_slice(right_in);
                self.gate.pass(left, right, place);
                if let Some(place) = place.as_mut().filter(|place| place.rolls) {
                    place.frame += left_in.len() as i64;
                }
            }
        }
    }
}

/// Where JACK's transport is at a block's first frame.
fn place(client: &Client) -> Option<Place> {
    let told = client.transport().query().ok()?;
    Some(Place { rolls: told.state == TransportState::Rolling, frame: told.pos.frame().into() })
}

/// Hears of gaps.
struct Watch(Arc<Tally>);

impl NotificationHandler for Watch {
    fn xrun(&mut self, _: &Client) -> Control {
        self.0.system_gap();
        Control::Continue
    }
}

/// Names of the ports for left and right.
type Pair = [String; 2];

/// The ports that sound comes from or goes to. JACK calls a port by what it is to others: what gives sound to us is
/// an output.
fn ports(client: &Client, way: Way, more: PortFlags) -> Vec<String> {
    let flags = match way {
        Way::In => PortFlags::IS_OUTPUT,
        Way::Out => PortFlags::IS_INPUT,
    };
    client.ports(None, Some(SOUND), flags | more)
}

fn find(client: &Client, asked: &str, way: Way) -> Result<Pair, Trouble> {
    let there = ports(client, way, PortFlags::empty());
    pick(&there, asked).ok_or_else(|| Trouble::NoSuchPort { way, asked: asked.to_owned(), there })
}

/// Where a person hears what is played: the first two ports of the machine's own.
fn speakers(client: &Client) -> Option<Pair> {
    pair(&ports(client, Way::Out, PortFlags::IS_PHYSICAL))
}

/// Picks the ports that were asked for: one or two by name, or the first of a client.
fn pick(there: &[String], asked: &str) -> Option<Pair> {
    let named: Vec<String> = asked.split(',').map(|name| name.trim().to_owned()).collect();
    if named.len() <= 2 && named.iter().all(|name| there.contains(name)) {
        return pair(&named);
    }
    let of_client = |name: &&String| name.strip_prefix(asked).is_some_and(|rest| rest.starts_with(':'));
    pair(&there.iter().filter(of_client).cloned().collect::<Vec<_>>())
}

/// The first two; one alone serves both sides.
fn pair(names: &[String]) -> Option<Pair> {
    let left = names.first()?;
    Some([left.clone(), names.get(1).unwrap_or(left).clone()])
}

fn connect<N, P>(
    client: &AsyncClient<N, P>,
    sources: Option<&Pair>,
    sinks: Option<&Pair>,
) -> Result<(), Trouble> {
    let client = client.as_client();
    let own = |name: &str| format!("{}:{name}", client.name());
    if let Some([left, right]) = sources {
        join(client, left, &own("in_left"))?;
        join(client, right, &own("in_right"))?;
    }
    if let Some([left, right]) = sinks {
        join(client, &own("out_left"), left)?;
        join(client, &own("out_right"), right)?;
    }
    Ok(())
}

fn join(client: &Client, from: &str, to: &str) -> Result<(), Trouble> {
    match client.connect_ports_by_name(from, to) {
        Ok(()) | Err(jack::Error::PortAlreadyConnected(..)) => Ok(()),
        Err(error) => Err(Trouble::Jack(error)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ports_are_picked_by_their_names_or_by_their_client() {
        let there: Vec<String> =
            ["system:capture_1", "system:capture_2", "system:capture_3", "synth:out", "system2:a"]
                .map(str::to_owned)
                .into();
        let picked = |asked| pick(&there, asked).map(|pair| pair.join(" "));
        assert_eq!(picked("system").as_deref(), Some("system:capture_1 system:capture_2"));
        assert_eq!(picked("synth").as_deref(), Some("synth:out synth:out"));
        assert_eq!(picked("synth:out").as_deref(), Some("synth:out synth:out"));
        assert_eq!(
            picked("system:capture_2, system:capture_1").as_deref(),
            Some("system:capture_2 system:capture_1")
        );
        assert_eq!(picked("sys"), None);
        assert_eq!(picked("system:capture_1,nothing:there"), None);
        assert_eq!(picked(""), None);
    }
}
