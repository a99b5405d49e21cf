//! `[cam]`, `[cam.intake]` and `[cam.exhaust]`: how far the valves travel, the lobes that move them, and where the lobes
//! stand against the crank.

use units::{CrankAngle, Length};

use super::block::{EXTENT, SIZE};
use super::lobe::{AT, DURATION, EVENTS, TABLE};
use super::usual::{CALLIPER, CAM_ANGLE, LOBE_LIFT, PIN, RAMP, TRAVEL};
use super::{Entry, Field, Missing, Range, Section, Shape, Words};

/// An angle about a centre, degrees of the crank.
pub const CENTRE: Range = Range::open(-180.0, 180.0);
/// How far a cam is moved, degrees of the crank.
pub const ADVANCE: Range = Range::open(-60.0, 60.0);
/// How far a phaser moves it, degrees of the crank.
const PHASE: Range = Range::from(0.0, 120.0);

const ENTRIES: &[&Entry] = &[
    &VALVE_LIFT.entry,
    &LOBE_LIFT_OF_CARD.entry,
    &CENTRELINE.entry,
    &CENTRE_AT.entry,
    &INSTALLED_ADVANCE.entry,
    &PHASE_ADVANCE.entry,
    &PHASE_RETARD.entry,
    &LIFT_AT_TDC.entry,
    &LIFT_10_BEFORE_TDC.entry,
    &LIFT_10_AFTER_TDC.entry,
    &RAMP_OPENING_HEIGHT.entry,
    &RAMP_OPENING_RISE.entry,
    &RAMP_CLOSING_HEIGHT.entry,
    &RAMP_CLOSING_RISE.entry,
    &BASE_RADIUS.entry,
    &FACE_WIDTH.entry,
];

const SECTIONS: &[&Section] = &[&DURATION, &EVENTS, &TABLE];

/// Both cams.
pub const CAM: Section = Section {
    key: "cam",
    meaning: "what opens the valves",
    shape: Shape::Once,
    entries: &[&LOBE_SEPARATION.entry, &GROUND_ADVANCE.entry],
    sections: &[&INTAKE, &EXHAUST],
};

/// The cam of the intake valves.
pub const INTAKE: Section = Section {
    key: "intake",
    meaning: "the intake valves",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: SECTIONS,
};

/// The cam of the exhaust valves.
pub const EXHAUST: Section = Section {
    key: "exhaust",
    meaning: "the exhaust valves",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: SECTIONS,
};

/// Full travel of the valves.
pub const VALVE_LIFT: Field<Length> = Field::new(
    Words {
        key: "valve_lift",
        meaning: "full travel of the valve from its seat, lash taken off; may be left out where lobe and train give it",
        measure: "dial indicator on the retainer with checking springs, over a whole turn of the cam",
        example: "10.4 mm ± 0.05",
    },
    EXTENT,
    TRAVEL,
    Missing::Required,
);

/// Greatest lift of the tappet.
pub const LOBE_LIFT_OF_CARD: Field<Length> = Field::new(
    Words {
        key: "lobe_lift",
        meaning: "greatest lift of the tappet; with a duration or events it describes the lobe",
        measure: "dial indicator on the tappet, or the cam card",
        example: "7.05 mm ± 0.03",
    },
    Range::open(0.0, 100.0),
    LOBE_LIFT,
    Missing::Taken("the lobe is known from its table, or not at all"),
);

/// Half the angle between the centrelines.
pub const LOBE_SEPARATION: Field<CrankAngle> = Field::new(
    Words {
        key: "lobe_separation",
        meaning: "half the crank angle between the two lobe centrelines",
        measure: "cam card",
        example: "110 deg",
    },
    CENTRE,
    CAM_ANGLE,
    Missing::Taken("each lobe has its own centreline or events"),
);

/// Advance ground into the cam.
pub const GROUND_ADVANCE: Field<CrankAngle> = Field::new(
    Words {
        key: "ground_advance",
        meaning: "how much earlier than an even split of the separation both lobes are ground, in crank degrees",
        measure: "cam card",
        example: "4 deg",
    },
    ADVANCE,
    CAM_ANGLE,
    Missing::Taken("0, split evenly"),
);

/// Where the lobe stands.
pub const CENTRELINE: Field<CrankAngle> = Field::new(
    Words {
        key: "centreline",
        meaning: "crank angle of the lobe centre, after top dead centre for intake and before it for exhaust",
        measure: "degree wheel: the middle between equal lifts on both flanks, or the cam card",
        example: "108 deg ± 0.5",
    },
    CENTRE,
    CAM_ANGLE,
    Missing::Taken("from events, or from lobe_separation in [cam]"),
);

/// What the centreline is the middle of.
pub const CENTRE_AT: Field<Length> = Field::new(
    Words {
        key: "centre_at",
        meaning: "tappet lift between whose two angles the centreline was taken as the middle; differs from the nose on lobes with unlike flanks",
        measure: "as the centreline was found",
        example: "0.050 in",
    },
    AT,
    LOBE_LIFT,
    Missing::Taken("the centreline is that of greatest lift"),
);

/// How the cam is installed.
pub const INSTALLED_ADVANCE: Field<CrankAngle> = Field::new(
    Words {
        key: "installed_advance",
        meaning: "how much earlier than that the cam is installed, in crank degrees; negative for retarded",
        measure: "degree wheel on the assembled engine, against the card",
        example: "2 deg ± 0.5",
    },
    ADVANCE,
    CAM_ANGLE,
    Missing::Estimated("cam.installed_advance"),
);

/// Farthest earlier.
pub const PHASE_ADVANCE: Field<CrankAngle> = Field::new(
    Words {
        key: "phase_advance",
        meaning: "farthest a variable phaser moves the lobe earlier, in crank degrees",
        measure: "maker's data",
        example: "30 deg",
    },
    PHASE,
    CAM_ANGLE,
    Missing::Taken("0, no phaser"),
);

/// Farthest later.
pub const PHASE_RETARD: Field<CrankAngle> = Field::new(
    Words {
        key: "phase_retard",
        meaning: "farthest a variable phaser moves the lobe later, in crank degrees",
        measure: "maker's data",
        example: "10 deg",
    },
    PHASE,
    CAM_ANGLE,
    Missing::Taken("0, no phaser"),
);

/// Valve lift at the top dead centre of the overlap.
pub const LIFT_AT_TDC: Field<Length> = Field::new(
    Words {
        key: "lift_at_tdc",
        meaning: "valve lift at the top dead centre of the overlap, with cold lash; the curve is led through it",
        measure: "dial indicator on the retainer with checking springs, crank on its degree wheel",
        example: "1.60 mm ± 0.05",
    },
    EXTENT,
    PIN,
    Missing::Taken("as the rest of the lobe says"),
);

/// Valve lift 10 crank degrees before the top dead centre of the overlap.
pub const LIFT_10_BEFORE_TDC: Field<Length> = Field::new(
    Words {
        key: "lift_10_before_tdc",
        meaning: "valve lift 10 crank degrees before the top dead centre of the overlap, with cold lash; the curve is led through it",
        measure: "dial indicator on the retainer with checking springs, crank on its degree wheel",
        example: "1.60 mm ± 0.05",
    },
    EXTENT,
    PIN,
    Missing::Taken("as the rest of the lobe says"),
);

/// Valve lift 10 crank degrees after the top dead centre of the overlap.
pub const LIFT_10_AFTER_TDC: Field<Length> = Field::new(
    Words {
        key: "lift_10_after_tdc",
        meaning: "valve lift 10 crank degrees after the top dead centre of the overlap, with cold lash; the curve is led through it",
        measure: "dial indicator on the retainer with checking springs, crank on its degree wheel",
        example: "1.60 mm ± 0.05",
    },
    EXTENT,
    PIN,
    Missing::Taken("as the rest of the lobe says"),
);

/// Height of the opening ramp.
pub const RAMP_OPENING_HEIGHT: Field<Length> = Field::new(
    Words {
        key: "ramp_opening_height",
        meaning: "tappet lift where the opening ramp of constant velocity meets the flank",
        measure: "cam designer's data, or a lift table",
        example: "0.30 mm",
    },
    AT,
    LOBE_LIFT,
    Missing::Taken("no ramp is asked for"),
);

/// Slope of the opening ramp.
pub const RAMP_OPENING_RISE: Field<Length> = Field::new(
    Words {
        key: "ramp_opening_rise",
        meaning: "tappet lift gained or lost in one degree of the cam on the opening ramp",
        measure: "cam designer's data, or a lift table",
        example: "0.012 mm",
    },
    Range::open(0.0, 1.0),
    RAMP,
    Missing::Taken("no ramp is asked for"),
);

/// Height of the closing ramp.
pub const RAMP_CLOSING_HEIGHT: Field<Length> = Field::new(
    Words {
        key: "ramp_closing_height",
        meaning: "tappet lift where the closing ramp of constant velocity meets the flank",
        measure: "cam designer's data, or a lift table",
        example: "0.30 mm",
    },
    AT,
    LOBE_LIFT,
    Missing::Taken("no ramp is asked for"),
);

/// Slope of the closing ramp.
pub const RAMP_CLOSING_RISE: Field<Length> = Field::new(
    Words {
        key: "ramp_closing_rise",
        meaning: "tappet lift gained or lost in one degree of the cam on the closing ramp",
        measure: "cam designer's data, or a lift table",
        example: "0.012 mm",
    },
    Range::open(0.0, 1.0),
    RAMP,
    Missing::Taken("no ramp is asked for"),
);

/// Radius of the base circle.
pub const BASE_RADIUS: Field<Length> = Field::new(
    Words {
        key: "base_radius",
        meaning: "radius of the base circle, for pressure angle, curvature and stress",
        measure: "micrometer across the base circle, halved",
        example: "15.0 mm ± 0.05",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("those are not worked out"),
);

/// Width of the lobe.
pub const FACE_WIDTH: Field<Length> = Field::new(
    Words {
        key: "face_width",
        meaning: "width of the lobe that touches its follower, for contact stress",
        measure: "callipers",
        example: "13.0 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("contact stress is not worked out"),
);
