//! `[use]`: how the engine is used.

use units::AngularVelocity;

use super::usual::TACHOMETER;
use super::{Field, Missing, Range, Section, Shape, Words};

/// How the engine is used.
pub const USE: Section = Section {
    key: "use",
    meaning: "how the engine is used",
    shape: Shape::Once,
    entries: &[&REV_LIMIT.entry],
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
