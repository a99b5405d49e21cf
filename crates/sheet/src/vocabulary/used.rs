//! `[use]`: how the engine is used.

use units::AngularVelocity;

use super::usual::TACHOMETER;
use super::{Entry, Field, Form, Missing, Pairs, Range, Section, Shape, Words};

/// What a weight is.
pub const WEIGHT_ROWS: Pairs = Pairs { one: "row", form: "[rpm, weight]", least: 1, most: 100 };
/// A speed under load, rpm.
const SPEED: Range = Range::open(100.0, 30_000.0);

/// How the engine is used.
pub const USE: Section = Section {
    key: "use",
    meaning: "how the engine is used",
    shape: Shape::Once,
    entries: &[&REV_LIMIT.entry, &LIFT_OFF_MARGIN.entry, &BAND_FROM.entry, &BAND_TO.entry, &WEIGHTS],
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

/// The band's lower end.
pub const BAND_FROM: Field<AngularVelocity> = Field::new(
    Words {
        key: "band_from",
        meaning: "lowest speed the engine is driven at under load, for the gain over the band",
        measure: "where the revs drop to after a gear change",
        example: "3200 rpm",
    },
    SPEED,
    TACHOMETER,
    Missing::Estimated("use.band_from"),
);

/// Its upper end.
pub const BAND_TO: Field<AngularVelocity> = Field::new(
    Words {
        key: "band_to",
        meaning: "highest speed it is driven at under load",
        measure: "where gears are changed",
        example: "6200 rpm",
    },
    SPEED,
    TACHOMETER,
    Missing::Estimated("use.band_to"),
);

/// What counts more.
pub const WEIGHTS: Entry = Entry::new(
    Words {
        key: "weights",
        meaning: "how much single speeds of the band count, linear in between, in rising order of speed",
        measure: "a lap's data, or judgement",
        example: "[[3200, 1], [5000, 2], [6200, 1]]",
    },
    Form::Pairs(&WEIGHT_ROWS),
    Missing::Taken("all speeds alike"),
);
