//! `[cam.intake]` and `[cam.exhaust]`: the shape of a lobe and its place on the crank.

use parts::cam::{
    Duration, LiftAt, LiftPin, Lobe, LobeCard, LobeCentre, LobeRow, LobeSource, LobeTable, LobeTiming,
    Phasing, Ramp, Span, TableAngles, TimingReference,
};
use parts::estimate;
use parts::train::{Lash, LashAt, Train};
use units::angle::degree;
use units::{Angle, CrankAngle, Length, Quantity, Reading};

use crate::check::{join, number, unit_of};
use crate::layers::{Layers, Log};
use crate::tree::Value;
use crate::vocabulary::cam::{
    BASE_RADIUS, CENTRE_AT, CENTRELINE, FACE_WIDTH, GROUND_ADVANCE, INSTALLED_ADVANCE, LIFT_10_AFTER_TDC,
    LIFT_10_BEFORE_TDC, LIFT_AT_TDC, LOBE_LIFT_OF_CARD, LOBE_SEPARATION, PHASE_ADVANCE, PHASE_RETARD,
    RAMP_CLOSING_HEIGHT, RAMP_CLOSING_RISE, RAMP_OPENING_HEIGHT, RAMP_OPENING_RISE,
};
use crate::vocabulary::lobe::{
    ANGLES, CLOSES, CLOSING, DURATION, EVENTS, LASH_OF_LIFT, LASTS, LIFT, LIFTS, LOBE_ROWS, NOISE, OF,
    OPENING, OPENS, RATIO, ROWS, TABLE, UNIT,
};
use crate::vocabulary::{Entry, Field};

/// Crank degrees from the dead centre before a stroke to the one after it.
const STROKE_DEG: f64 = 180.0;

/// Whether a cam says anything about the shape of its lobe.
pub(crate) fn is_described(lobe: &Layers) -> bool {
    [LOBE_LIFT_OF_CARD.key(), DURATION.key, EVENTS.key, TABLE.key].into_iter().any(|key| lobe.has(key))
}

/// A lobe that is described. `cams` is the table of both cams, where the separation stands.
pub(crate) fn read_lobe(log: &mut Log, cams: &Layers, lobe: &Layers, train: &Train) -> Lobe {
    let events = lobe.inner(EVENTS.key);
    let events = (!events.absent()).then(|| read_events(log, &events, train));
    let source = match lobe.node(TABLE.key) {
        Some((table, _)) => {
            let card = [LOBE_LIFT_OF_CARD.key(), DURATION.key].into_iter().find(|key| lobe.has(key));
            if let Some(card) = card {
                let found = format!("both {} and {card}", TABLE.key);
                log.wrong(table.place, &join(&lobe.path, TABLE.key), found, "one of the two");
            }
            LobeSource::Table(read_table(log, &lobe.inner(TABLE.key), train))
        }
        None => LobeSource::Card(read_card(log, lobe, train, events.as_ref())),
    };
    Lobe {
        source,
        timing: read_timing(log, cams, lobe, events),
        pins: read_pins(lobe),
        base_radius: lobe.get(&BASE_RADIUS),
        face_width: lobe.get(&FACE_WIDTH),
    }
}

/// Opening and closing at one lift.
struct Events {
    lift: Reading<Length>,
    at: LiftAt,
    opens: Reading<CrankAngle>,
    closes: Reading<CrankAngle>,
}

fn read_events(log: &mut Log, events: &Layers, train: &Train) -> Events {
    Events {
        lift: events.need(log, &LIFT),
        at: lift_at(events, &OF, train),
        opens: events.need(log, &OPENS),
        closes: events.need(log, &CLOSES),
    }
}

fn read_card(log: &mut Log, lobe: &Layers, train: &Train, events: Option<&Events>) -> LobeCard {
    let lobe_lift = match lobe.get(&LOBE_LIFT_OF_CARD) {
        Some(given) => given,
        None => {
            missing(
                log,
                lobe,
                LOBE_LIFT_OF_CARD.key(),
                "lobe_lift = \"7.05 mm ± 0.03\", or a table of lifts",
            );
            zero()
        }
    };
    let mut durations: Vec<Duration> =
        lobe.list(&DURATION).iter().map(|one| read_duration(log, one, train)).collect();
    // Events tell a duration too, unless one is stated at that very lift.
    if let Some(events) = events
        && !durations.iter().any(|one| one.lift.value == events.lift.value && one.at == events.at)
    {
        let whole = events.opens.value + events.closes.value + CrankAngle::from_degrees(STROKE_DEG);
        let tolerance = events.opens.tolerance.si().hypot(events.closes.tolerance.si());
        let basis = events.opens.basis.min(events.closes.basis);
        let span =
            Span::Symmetric(Reading { value: whole, tolerance: CrankAngle::from_si(tolerance), basis });
        durations.push(Duration { lift: events.lift, at: events.at, span });
    }
    if durations.is_empty() && !lobe.has(DURATION.key) {
        let expected =
            format!("[[{0}.duration]] with at and lasts, [{0}.events], or a table of lifts", lobe.path);
        missing(log, lobe, DURATION.key, &expected);
    }
    LobeCard {
        lobe_lift,
        durations,
        ramp_opening: read_ramp(log, lobe, &RAMP_OPENING_HEIGHT, &RAMP_OPENING_RISE),
        ramp_closing: read_ramp(log, lobe, &RAMP_CLOSING_HEIGHT, &RAMP_CLOSING_RISE),
    }
}

fn read_duration(log: &mut Log, one: &Layers, train: &Train) -> Duration {
    let halves = [&OPENING, &CLOSING].map(|field| one.has(field.key()));
    let whole = one.has(LASTS.key());
    if whole && (halves[0] || halves[1]) {
        let found = "both lasts and its two halves";
        log.wrong(one.place(), &join(&one.path, LASTS.key()), found, "one of the two");
    }
    let span = if whole {
        Span::Symmetric(one.need(log, &LASTS))
    } else if halves[0] || halves[1] {
        Span::Flanks { opening: one.need(log, &OPENING), closing: one.need(log, &CLOSING) }
    } else {
        missing(log, one, LASTS.key(), "lasts = \"228 deg ± 1\", or its halves opening and closing");
        Span::Symmetric(zero())
    };
    Duration { lift: one.need(log, &LIFT), at: lift_at(one, &OF, train), span }
}

fn read_ramp(
    log: &mut Log,
    lobe: &Layers,
    height: &'static Field<Length>,
    rise: &'static Field<Length>,
) -> Option<Ramp> {
    if !lobe.has(height.key()) && !lobe.has(rise.key()) {
        return None;
    }
    Some(Ramp { height: lobe.need(log, height), rise_per_cam_degree: lobe.need(log, rise) })
}

/// Where a lift was measured: of a valve, with the ratio and the lash of the table itself, else with those of the train.
fn lift_at(layers: &Layers, of: &Entry, train: &Train) -> LiftAt {
    if layers.text(of) != "valve" {
        return LiftAt::Tappet;
    }
    match of_valve(train) {
        LiftAt::Valve { ratio, lash } => LiftAt::Valve {
            ratio: layers.get(&RATIO).unwrap_or(ratio),
            lash: layers.get(&LASH_OF_LIFT).unwrap_or(lash),
        },
        LiftAt::Tappet => LiftAt::Tappet,
    }
}

/// On the valve, through this train with its cold lash.
pub(crate) fn of_valve(train: &Train) -> LiftAt {
    let lash = match train.lash {
        Lash::Solid { at: LashAt::Valve, cold, .. } => cold,
        Lash::Solid { at: LashAt::Cam, .. } | Lash::Hydraulic { .. } => zero(),
    };
    LiftAt::Valve { ratio: train.ratio, lash }
}

fn read_table(log: &mut Log, table: &Layers, train: &Train) -> LobeTable {
    [&ANGLES, &UNIT, &LOBE_ROWS].into_iter().for_each(|entry| table.require(log, entry));
    let unit_si = unit_of(table.text(&UNIT)).unwrap_or(1.0);
    let rows = table.common.map_or(&[][..], |layer| layer.table.list(LOBE_ROWS.words.key));
    let row = |(idx, node): (usize, &crate::tree::Node)| {
        let Value::List(pair) = &node.value else { return None };
        let [angle, lift] = pair.as_slice() else { return None };
        Some(LobeRow {
            number: idx + 1,
            angle: Angle::new::<degree>(number(angle)?),
            lift: Length::from_si(number(lift)? * unit_si),
        })
    };
    LobeTable {
        angles: if table.text(&ANGLES) == "crank" { TableAngles::Crank } else { TableAngles::Cam },
        lifts: lift_at(table, &LIFTS, train),
        rows: rows.iter().take(*ROWS.end()).enumerate().filter_map(row).collect(),
        noise: table.get(&NOISE).map(|noise| noise.value),
    }
}

/// The centreline decides, then the events, then the separation of both cams.
fn read_timing(log: &mut Log, cams: &Layers, lobe: &Layers, events: Option<Events>) -> LobeTiming {
    let none = || Reading::measured(CrankAngle::from_degrees(0.0), CrankAngle::from_degrees(0.0));
    let reference = if lobe.has(CENTRELINE.key()) {
        TimingReference::Centreline(lobe.need(log, &CENTRELINE))
    } else if let Some(Events { lift, at, opens, closes }) = events {
        TimingReference::Events { lift, at, opens, closes }
    } else if let Some(separation) = cams.get(&LOBE_SEPARATION) {
        let advance = cams.get(&GROUND_ADVANCE).unwrap_or_else(none);
        TimingReference::Separation { separation, advance }
    } else {
        if !cams.has(LOBE_SEPARATION.key()) {
            let expected = "centreline = \"108 deg\", events, or lobe_separation in [cam]";
            missing(log, lobe, CENTRELINE.key(), expected);
        }
        TimingReference::Centreline(zero())
    };
    let phase = |field| lobe.get(field).map_or(CrankAngle::from_degrees(0.0), |reading| reading.value);
    LobeTiming {
        reference,
        centre: lobe.get(&CENTRE_AT).map_or(LobeCentre::Nose, |at| LobeCentre::MidpointAt(at.value)),
        installed_advance: lobe.get(&INSTALLED_ADVANCE).unwrap_or_else(estimate::installed_advance),
        phasing: Phasing { advance: phase(&PHASE_ADVANCE), retard: phase(&PHASE_RETARD) },
    }
}

fn read_pins(lobe: &Layers) -> Vec<LiftPin> {
    let pins = [(&LIFT_10_BEFORE_TDC, -10.0), (&LIFT_AT_TDC, 0.0), (&LIFT_10_AFTER_TDC, 10.0)];
    let read = pins.into_iter().filter_map(|(field, deg)| Some((lobe.get(field)?, deg)));
    read.map(|(valve_lift, deg)| LiftPin { after_tdc: CrankAngle::from_degrees(deg), valve_lift }).collect()
}

/// Reports something that is not there, with what could stand there.
pub(crate) fn missing(log: &mut Log, layers: &Layers, key: &str, expected: &str) {
    log.wrong(layers.place(), &join(&layers.path, key), format!("no {key}"), expected);
}

/// Stands in for a reading that was reported.
pub(crate) fn zero<Q: Quantity>() -> Reading<Q> {
    Reading::measured(Q::from_si(0.0), Q::from_si(0.0))
}
