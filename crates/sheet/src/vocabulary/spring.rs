//! `[spring.intake]` and `[spring.exhaust]`: the springs of one valve as installed.

use units::{Force, Length, Mass, Ratio, SpringRate};

use super::block::{EXTENT, OFFSET, SIZE};
use super::train::WEIGHT;
use super::usual::{CALLIPER, COILS, DEPTH, SCALE, SPRING_LOAD, SPRING_RATE, WIRE};
use super::{Entry, Field, Missing, Range, Section, Shape, Words};

/// A load, N.
const LOAD_RANGE: Range = Range::from(0.0, 100_000.0);

const ENTRIES: &[&Entry] = &[
    &INSTALLED_HEIGHT.entry,
    &SEAT_LOAD.entry,
    &RATE.entry,
    &COIL_BIND_HEIGHT.entry,
    &WIRE_DIAMETER.entry,
    &MEAN_DIAMETER.entry,
    &ACTIVE_COILS.entry,
    &MASS.entry,
    &RETAINER_TO_SEAL.entry,
];

/// Springs of both duties.
pub const SPRING: Section = Section {
    key: "spring",
    meaning: "the springs of one valve as installed; used with a lobe under [cam]",
    shape: Shape::Once,
    entries: &[],
    sections: &[&INTAKE, &EXHAUST],
};

/// The springs of an intake valve.
pub const INTAKE: Section = Section {
    key: "intake",
    meaning: "an intake valve; the only spring or the outer one, or a pair that was tested together",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[&LOAD, &INNER],
};

/// The springs of an exhaust valve.
pub const EXHAUST: Section = Section {
    key: "exhaust",
    meaning: "an exhaust valve; the only spring or the outer one, or a pair that was tested together",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[&LOAD, &INNER],
};

/// The inner spring.
pub const INNER: Section = Section {
    key: "inner",
    meaning: "the inner spring, where it was tested by itself",
    shape: Shape::Once,
    entries: &[
        &INSTALLED_HEIGHT.entry,
        &SEAT_LOAD.entry,
        &RATE.entry,
        &COIL_BIND_HEIGHT.entry,
        &WIRE_DIAMETER.entry,
        &MEAN_DIAMETER.entry,
        &ACTIVE_COILS.entry,
        &MASS.entry,
    ],
    sections: &[&LOAD],
};

/// A load at one height.
pub const LOAD: Section = Section {
    key: "load",
    meaning: "load at one height, of a spring that gets stiffer; two or more instead of seat_load and rate",
    shape: Shape::List,
    entries: &[&HEIGHT.entry, &LOAD_THERE.entry],
    sections: &[],
};

/// Installed height.
pub const INSTALLED_HEIGHT: Field<Length> = Field::new(
    Words {
        key: "installed_height",
        meaning: "height of the spring with the valve seated",
        measure: "height micrometer between seat and retainer",
        example: "41.0 mm ± 0.2",
    },
    SIZE,
    DEPTH,
    Missing::Taken("needed where the spring is given"),
);

/// Load on the seat.
pub const SEAT_LOAD: Field<Force> = Field::new(
    Words {
        key: "seat_load",
        meaning: "load at the installed height",
        measure: "spring tester",
        example: "320 N ± 10",
    },
    LOAD_RANGE,
    SPRING_LOAD,
    Missing::Taken("from two or more load tables"),
);

/// Rate.
pub const RATE: Field<SpringRate> = Field::new(
    Words {
        key: "rate",
        meaning: "load gained for each length it is pressed",
        measure: "spring tester at two heights: difference of loads over difference of heights",
        example: "32 N/mm",
    },
    Range::open(0.1, 10_000.0),
    SPRING_RATE,
    Missing::Taken("from two or more load tables"),
);

/// Height of coil bind.
pub const COIL_BIND_HEIGHT: Field<Length> = Field::new(
    Words {
        key: "coil_bind_height",
        meaning: "height with all coils touching",
        measure: "vice and callipers",
        example: "27.5 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("room to coil bind is not worked out"),
);

/// Thickness of the wire.
pub const WIRE_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "wire_diameter",
        meaning: "thickness of the wire; with mean_diameter and active_coils it gives the surge",
        measure: "callipers",
        example: "4.2 mm",
    },
    SIZE,
    WIRE,
    Missing::Taken("surge is not worked out"),
);

/// Diameter of the coil.
pub const MEAN_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "mean_diameter",
        meaning: "diameter of the coil from wire centre to wire centre",
        measure: "outside diameter less one wire",
        example: "30.0 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("surge is not worked out"),
);

/// Coils that work.
pub const ACTIVE_COILS: Field<Ratio> = Field::new(
    Words {
        key: "active_coils",
        meaning: "coils that work: all but the closed end coils",
        measure: "count them",
        example: "5.5",
    },
    Range::open(0.5, 100.0),
    COILS,
    Missing::Taken("surge is not worked out"),
);

/// Mass of the spring.
pub const MASS: Field<Mass> = Field::new(
    Words { key: "mass", meaning: "mass of the spring", measure: "scales", example: "62 g" },
    WEIGHT,
    SCALE,
    Missing::Taken("worked out from the wire, or counted as nothing"),
);

/// Retainer to seal.
pub const RETAINER_TO_SEAL: Field<Length> = Field::new(
    Words {
        key: "retainer_to_seal",
        meaning: "between retainer and stem seal with the valve seated",
        measure: "depth gauge, or solder on the seal",
        example: "12.5 mm",
    },
    OFFSET,
    CALLIPER,
    Missing::Taken("not known"),
);

/// Height.
pub const HEIGHT: Field<Length> = Field::new(
    Words { key: "height", meaning: "height of the spring", measure: "spring tester", example: "35 mm" },
    EXTENT,
    DEPTH,
    Missing::Required,
);

/// Load there.
pub const LOAD_THERE: Field<Force> = Field::new(
    Words { key: "load", meaning: "load at that height", measure: "spring tester", example: "520 N" },
    LOAD_RANGE,
    SPRING_LOAD,
    Missing::Required,
);
