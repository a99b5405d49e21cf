//! `[use]`: how the engine is used.

use units::AngularVelocity;

use super::usual::TACHOMETER;
use super::{Field, Missing, Range, Section, Shape, Words};

/// How the engine is used.
pub const USE: Section = Section {
    key: "use",
    meaning: "how the engine is used",
    shape: Shape::Once,
    entries: &[&REV_LIMIT.entry, &LIFT_OFF_MARGIN.entry],
    sections: &[],
};

/// The highest speed.
pub const REV_LIMIT: Field<AngularVelocity> = Field::new(
    Words {
        key: "rev_limit",
        meaning: "the highest engine speed that is used; valve springs are judged there",
        measure: "the limiter's setting, or what the tachometer shows at most",
        example: "6500 rpm",
    },
    Range::open(100.0, 30_000.0),
    TACHOMETER,
    Missing::Taken("springs are judged over a range of speeds"),
);

/// Room above it.
pub const LIFT_OFF_MARGIN: Field<AngularVelocity> = Field::new(
    Words {
        key: "lift_off_margin",
        meaning: "how far above rev_limit the valve trains have to stay on their lobes; a limit for headroom slack",
        measure: "your own rule; trains bend, and loft sooner than rigid ones are reckoned to",
        example: "300 rpm",
    },
    Range::from(0.0, 10_000.0),
    TACHOMETER,
    Missing::Taken("200 rpm"),
);
