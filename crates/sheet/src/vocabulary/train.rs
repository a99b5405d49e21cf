//! `[train.intake]` and `[train.exhaust]`: follower, rocker ratio, lash and masses between lobe and valve.

use units::{Length, Mass, Ratio};

use super::block::{EXTENT, OFFSET, SIZE};
use super::usual::{CALLIPER, DEPTH, LASH as LASH_USUAL, LOBE_LIFT, ROCKER_RATIO, SCALE, TRAVEL};
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// Rocker ratios.
pub const RATIO_RANGE: Range = Range::open(0.2, 10.0);
/// A lash, mm.
pub const LASH: Range = Range::from(0.0, 10.0);
/// A mass, g.
pub const WEIGHT: Range = Range::open(0.0, 100_000.0);

const ENTRIES: &[&Entry] = &[
    &FOLLOWER,
    &FACE_DIAMETER.entry,
    &ROLLER_DIAMETER.entry,
    &PAD_RADIUS.entry,
    &RATIO.entry,
    &LASH_COLD.entry,
    &LASH_HOT.entry,
    &LASH_AT,
    &PRELOAD.entry,
    &PLUNGER_TRAVEL.entry,
    &VALVE_MASS.entry,
    &RETAINER_MASS.entry,
    &ROCKER_MASS.entry,
    &PUSHROD_MASS.entry,
    &TAPPET_MASS.entry,
    &SLOT_GAP_SEATED.entry,
    &SLOT_GAP_LIFTED.entry,
    &SLOT_LIFT.entry,
    &PUSHROD_HOLE_GAP.entry,
    &LOFT.entry,
];

/// Both trains.
pub const TRAIN: Section = Section {
    key: "train",
    meaning: "what carries the lobe's lift to the valve; used with a lobe under [cam]",
    shape: Shape::Once,
    entries: &[],
    sections: &[&INTAKE, &EXHAUST],
};

/// The train of the intake valves.
pub const INTAKE: Section = Section {
    key: "intake",
    meaning: "the intake valves",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[&RATIO_AT],
};

/// The train of the exhaust valves.
pub const EXHAUST: Section = Section {
    key: "exhaust",
    meaning: "the exhaust valves",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[&RATIO_AT],
};

/// The ratio at one lift.
pub const RATIO_AT: Section = Section {
    key: "ratio_at",
    meaning: "the rocker ratio at one lift of the tappet, when it was measured over the lift; only the shape counts, full lift has ratio",
    shape: Shape::List,
    entries: &[&TAPPET_LIFT.entry, &RATIO_THERE.entry],
    sections: &[],
};

/// What rides on the lobe.
pub const FOLLOWER: Entry = Entry::new(
    Words {
        key: "follower",
        meaning: "what rides on the lobe: flat (a flat tappet or bucket), roller (on a tappet that moves straight), finger (a rocker or finger on the lobe itself)",
        measure: "",
        example: "flat",
    },
    Form::Choice(&["flat", "roller", "finger"]),
    Missing::Taken("needed where [cam] describes a lobe"),
);

/// Allowance for loft and float.
pub const LOFT: Field<Length> = Field::new(
    Words {
        key: "loft",
        meaning: "how much farther than its cam says the valve is allowed to stand open past the nose, for loft and float: it grows in 20 crank degrees after the nose and ends with the lift",
        measure: "from a high-speed film or a margin of your own; nobody measures it on the bench",
        example: "0.3 mm",
    },
    LASH,
    TRAVEL,
    Missing::Taken("none: the usual limits hold some already"),
);

/// Face of a flat follower.
pub const FACE_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "face_diameter",
        meaning: "diameter of the face of a flat follower",
        measure: "callipers",
        example: "21.4 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("train.face_diameter"),
);

/// Wheel of a roller.
pub const ROLLER_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "roller_diameter",
        meaning: "diameter of the wheel of a roller tappet",
        measure: "callipers",
        example: "19.0 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("train.roller_radius"),
);

/// Pad of a finger.
pub const PAD_RADIUS: Field<Length> = Field::new(
    Words {
        key: "pad_radius",
        meaning: "radius of the pad or wheel of a finger where it touches the lobe",
        measure: "radius gauge, or callipers over the wheel, halved",
        example: "12.0 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("train.pad_radius"),
);

/// Rocker ratio.
pub const RATIO: Field<Ratio> = Field::new(
    Words {
        key: "ratio",
        meaning: "lift of the valve over lift of the tappet at full lift, lash taken up; 1 for a bucket",
        measure: "two dial indicators, one on the pushrod or tappet and one on the retainer, with checking springs",
        example: "1.5 ± 0.01",
    },
    RATIO_RANGE,
    ROCKER_RATIO,
    Missing::Taken("needed where [cam] describes a lobe"),
);

/// Cold lash.
pub const LASH_COLD: Field<Length> = Field::new(
    Words { key: "lash_cold", meaning: "gap set by hand, cold", measure: "feeler gauge", example: "0.30 mm" },
    LASH,
    LASH_USUAL,
    Missing::Estimated("train.lash_cold"),
);

/// Hot lash.
pub const LASH_HOT: Field<Length> = Field::new(
    Words {
        key: "lash_hot",
        meaning: "that gap at running temperature",
        measure: "feeler gauge straight after a run",
        example: "0.25 mm",
    },
    LASH,
    LASH_USUAL,
    Missing::Taken("as cold"),
);

/// Where the lash is set.
pub const LASH_AT: Entry = Entry::new(
    Words { key: "lash_at", meaning: "where the gap is set", measure: "", example: "valve" },
    Form::Choice(&["valve", "cam"]),
    Missing::Taken("valve"),
);

/// Hydraulic preload.
pub const PRELOAD: Field<Length> = Field::new(
    Words {
        key: "preload",
        meaning: "how far a hydraulic plunger is pushed in from its stop with the valve seated, at the tappet; instead of lash",
        measure: "turns of the adjuster times its pitch",
        example: "0.75 mm",
    },
    LASH,
    LASH_USUAL,
    Missing::Taken("the train has lash"),
);

/// Travel of the plunger.
pub const PLUNGER_TRAVEL: Field<Length> = Field::new(
    Words {
        key: "plunger_travel",
        meaning: "whole travel of the hydraulic plunger",
        measure: "drained element pressed by hand, depth gauge",
        example: "4.0 mm",
    },
    Range::open(0.0, 100.0),
    DEPTH,
    Missing::Estimated("train.plunger_travel"),
);

/// Mass of the valve.
pub const VALVE_MASS: Field<Mass> = Field::new(
    Words { key: "valve_mass", meaning: "mass of one valve", measure: "scales", example: "92 g" },
    WEIGHT,
    SCALE,
    Missing::Estimated("train.valve_mass"),
);

/// Mass of the retainer.
pub const RETAINER_MASS: Field<Mass> = Field::new(
    Words { key: "retainer_mass", meaning: "mass of retainer and locks", measure: "scales", example: "28 g" },
    WEIGHT,
    SCALE,
    Missing::Estimated("train.retainer_mass"),
);

/// Rocker at the valve.
pub const ROCKER_MASS: Field<Mass> = Field::new(
    Words {
        key: "rocker_mass",
        meaning: "the rocker's inertia about its pivot over the square of its valve-side arm",
        measure: "bifilar swing, or about a third of a rocker's own mass",
        example: "35 g",
    },
    WEIGHT,
    SCALE,
    Missing::Taken("counted as nothing"),
);

/// Mass of the pushrod.
pub const PUSHROD_MASS: Field<Mass> = Field::new(
    Words { key: "pushrod_mass", meaning: "mass of the pushrod", measure: "scales", example: "50 g" },
    WEIGHT,
    SCALE,
    Missing::Taken("counted as nothing"),
);

/// Mass of the tappet.
pub const TAPPET_MASS: Field<Mass> = Field::new(
    Words { key: "tappet_mass", meaning: "mass of tappet or bucket", measure: "scales", example: "90 g" },
    WEIGHT,
    SCALE,
    Missing::Taken("counted as nothing"),
);

/// Slot gap on the seat.
pub const SLOT_GAP_SEATED: Field<Length> = Field::new(
    Words {
        key: "slot_gap_seated",
        meaning: "least gap between rocker slot and stud with the valve seated",
        measure: "wire gauge",
        example: "2.0 mm",
    },
    OFFSET,
    CALLIPER,
    Missing::Taken("not known"),
);

/// Slot gap lifted.
pub const SLOT_GAP_LIFTED: Field<Length> = Field::new(
    Words {
        key: "slot_gap_lifted",
        meaning: "that gap with the valve at slot_lift",
        measure: "wire gauge",
        example: "1.2 mm",
    },
    OFFSET,
    CALLIPER,
    Missing::Taken("not known"),
);

/// Lift of that gap.
pub const SLOT_LIFT: Field<Length> = Field::new(
    Words {
        key: "slot_lift",
        meaning: "valve lift at which slot_gap_lifted was measured",
        measure: "dial indicator on the retainer",
        example: "10.5 mm",
    },
    Range::open(0.0, 100.0),
    DEPTH,
    Missing::Taken("not known"),
);

/// Pushrod in its hole.
pub const PUSHROD_HOLE_GAP: Field<Length> = Field::new(
    Words {
        key: "pushrod_hole_gap",
        meaning: "least gap between pushrod and its hole through the whole lift",
        measure: "wire gauge, turning the engine by hand",
        example: "1.5 mm",
    },
    OFFSET,
    CALLIPER,
    Missing::Taken("not known"),
);

/// Lift of the tappet.
pub const TAPPET_LIFT: Field<Length> = Field::new(
    Words { key: "tappet_lift", meaning: "lift of the tappet", measure: "dial indicator", example: "3.0 mm" },
    EXTENT,
    LOBE_LIFT,
    Missing::Required,
);

/// The ratio there.
pub const RATIO_THERE: Field<Ratio> = Field::new(
    Words {
        key: "ratio",
        meaning: "lift of the valve over lift of the tappet there",
        measure: "two dial indicators",
        example: "1.52",
    },
    RATIO_RANGE,
    ROCKER_RATIO,
    Missing::Required,
);
