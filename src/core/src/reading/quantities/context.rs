//! What a number's surroundings are about.
//!
//! "6.1 A" is a motor's current beside a pump and a cell's beside a salt cell. The thing that was named last before the
//! number, in its sentence or in the one before it, tells what the talk is of; some words tell what a bare degree is of.

use crate::reading::{
    lexer::{Kind, Mark},
    read::Reading,
};

/// How far back a thing is still what the talk is of.
const BACK: usize = 40;

/// The ids of the things that the talk at a token may be of: in its sentence before it, right after it, or in the sentence before.
pub(super) fn topics<'r>(reading: &'r Reading<'_>, at: usize) -> Vec<&'r str> {
    let sentences = &reading.words.sentences;
    let here = reading.words.sentence_of(at);
    let block = |s: usize| sentences.get(s).map(|s| s.block);
    let start = |s: usize| sentences.get(s).map_or(0, |s| s.tokens.start);
    let mut low = start(here);
    let mut s = here;
    while let Some(before) = s.checked_sub(1)
        && block(before) == block(here)
        && at - start(before) <= BACK
    {
        s = before;
        low = start(s);
    }
    let end = sentences.get(here).map_or(at, |s| s.tokens.end);
    let id = |thing: u16| {
        reading
            .knowledge
            .lexicon
            .things
            .get(usize::from(thing))
            .map(|t| t.id.as_str())
    };
    let mut near: Vec<(usize, &str)> = Vec::new();
    for mention in &reading.found.things {
        let place = mention.tokens.clone();
        let distance = if place.end <= at && place.start >= low {
            at - place.end
        } else if place.start > at && place.end <= end && place.start <= at + 5 {
            3 + place.start - at
        } else {
            continue;
        };
        near.extend(id(mention.thing).map(|id| (distance, id)));
    }
    near.sort_unstable();
    near.dedup_by_key(|(_, id)| *id);
    near.into_iter().take(2).map(|(_, id)| id).collect()
}

/// Whether a quantity is one of those that a thing has.
pub(super) fn belongs(quantity: &str, thing: &str) -> bool {
    let quantities: &[&str] = match thing {
        "salt-cell" | "salt-control" => &[
            "displayed-salt",
            "salt-output",
            "cell-current",
            "cell-voltage",
        ],
        "pump" | "booster-pump" | "drive" => {
            &["pump-speed", "actual-speed", "motor-current", "power"]
        }
        "motor" | "blower" | "fan-motor" | "compressor" => &[
            "motor-current",
            "power",
            "insulation-resistance",
            "supply-selection",
        ],
        "breaker" => &["breaker-rating", "supply-voltage"],
        "gas-heater" | "gas-valve" | "gas-regulator" => {
            &["gas-pressure", "temperature-rise", "heater-setpoint"]
        }
        "heat-pump" | "electric-heater" | "heater" => &[
            "temperature-rise",
            "motor-current",
            "heater-setpoint",
            "displayed-temperature",
        ],
        "transformer" | "light" | "lamp" | "relay" | "thermal-regulator" => &["control-voltage"],
        "valve-actuator" => &["control-voltage", "actuator-cam"],
        "comm-bus" | "data-connector" | "bus-expander" => &["bus-voltage"],
        "cartridge-filter" | "sand-filter" | "de-filter" | "pressure-gauge" | "filter" => {
            &["filter-pressure", "clean-pressure"]
        }
        "controller" | "remote" => &[
            "displayed-temperature",
            "firmware-revision",
            "freeze-threshold",
        ],
        "water-sensor" | "air-sensor" | "solar-sensor" | "defrost-sensor" => {
            &["sensor-resistance", "displayed-temperature"]
        }
        "igniter" => &["igniter-resistance"],
        "heater-element" => &["coil-resistance", "insulation-resistance"],
        "capacitor" => &["capacitance"],
        "chemical-feeder" | "chemical-controller" => &["feeder-setting", "orp"],
        "pressure-switch" => &["pressure-switch-setpoint"],
        "disconnect" | "terminal" | "time-switch" => &["supply-voltage"],
        "solar-heater" => &["temperature-rise"],
        _ => &[],
    };
    quantities.contains(&quantity)
}

/// What degrees are of where nothing names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Degrees {
    /// Of the air.
    Air,
    /// Of the water.
    Water,
}

/// What unnamed degrees at a token are of, from the words of its sentence.
pub(super) fn degrees(reading: &Reading<'_>, at: usize, chemistry: bool) -> Degrees {
    let range = reading
        .words
        .sentences
        .get(reading.words.sentence_of(at))
        .map_or(at..at, |s| s.tokens.clone());
    let near = at.saturating_sub(5).max(range.start)..(at + 7).min(range.end);
    let weather = |w: &str| {
        matches!(
            w,
            "out"
                | "outside"
                | "air"
                | "today"
                | "shade"
                | "wind"
                | "windy"
                | "sun"
                | "sunny"
                | "rain"
                | "raining"
                | "fog"
                | "foggy"
                | "snow"
                | "snowing"
                | "overcast"
                | "frost"
                | "sky"
                | "breeze"
                | "cloudy"
                | "clear"
                | "drizzle"
                | "weather"
                | "morning"
                | "humid"
                | "muggy"
                | "bright"
                | "still"
                | "grey"
                | "gray"
                | "breezy"
                | "gusty"
                | "northerly"
                | "southerly"
                | "damp"
                | "arr"
                | "arrived"
                | "night"
                | "outdoor"
                | "ice"
                | "thermometer-outside"
        )
    };
    if reading.words.slice(near).iter().any(|t| weather(&t.text)) {
        return Degrees::Air;
    }
    let wet = |w: &str| {
        matches!(
            w,
            "water" | "pool" | "spa" | "tub" | "plunge" | "returns" | "wtr" | "swim"
        )
    };
    let low = range.start;
    if chemistry || reading.words.slice(low..at).iter().any(|t| wet(&t.text)) {
        return Degrees::Water;
    }
    let dated = reading
        .words
        .slice(range)
        .iter()
        .any(|t| matches!(t.kind, Kind::Date | Kind::Clock(_)));
    if dated || reading.words.sentence_of(at) < 3 {
        return Degrees::Air;
    }
    let before_mark = reading
        .words
        .tokens
        .get(at)
        .is_some_and(|t| t.before >= Mark::Stop);
    if before_mark {
        Degrees::Air
    } else {
        Degrees::Water
    }
}
