//! `[spark]` and `[burning]`: when and where the charge is lit, and how fast it burns.

use units::{CrankAngle, Length, Ratio};

use super::block::OFFSET;
use super::form::Pairs;
use super::usual::{BURN_ANGLE, CAM_ANGLE, FACTOR as FACTOR_USUAL, POSITION, SHARE};
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// Most rows of a timing table, and what a row is.
pub const SPARK_ROWS: Pairs = Pairs { one: "row", form: "[rpm, degrees]", least: 1, most: 100 };

/// The spark.
pub const SPARK: Section = Section {
    key: "spark",
    meaning: "when the charge is lit, and where",
    shape: Shape::Once,
    entries: &[&TIMING, &TABLE, &HALF_BURNED_AT.entry, &KNOCK_INTEGRAL.entry, &PLUG_X.entry, &PLUG_Y.entry],
    sections: &[],
};

/// How it is chosen.
pub const TIMING: Entry = Entry::new(
    Words {
        key: "timing",
        meaning: "given: by the table; best: for best torque; knock_limited: for best torque or as early as the fuel allows; half_burned: so that half is burned at half_burned_at",
        measure: "",
        example: "knock_limited",
    },
    Form::Choice(&["given", "best", "knock_limited", "half_burned"]),
    Missing::Estimated("spark.timing"),
);

/// By speed.
pub const TABLE: Entry = Entry::new(
    Words {
        key: "table",
        meaning: "rows [rpm, degrees before top dead centre] at full load, in rising order of speed",
        measure: "timing light",
        example: "[[1000, 12], [3000, 30], [6000, 32]]",
    },
    Form::Pairs(&SPARK_ROWS),
    Missing::Taken("the timing is found"),
);

/// Half burned.
pub const HALF_BURNED_AT: Field<CrankAngle> = Field::new(
    Words {
        key: "half_burned_at",
        meaning: "crank angle after top dead centre at which half of the charge is burned",
        measure: "cylinder pressure",
        example: "9 deg",
    },
    Range::open(-60.0, 120.0),
    CAM_ANGLE,
    Missing::Estimated("spark.half_burned_at"),
);

/// Margin.
pub const KNOCK_INTEGRAL: Field<Ratio> = Field::new(
    Words {
        key: "knock_integral",
        meaning: "largest knock integral that is allowed; 1 is knock",
        measure: "",
        example: "0.9",
    },
    Range::open(0.0, 10.0),
    SHARE,
    Missing::Estimated("spark.knock_integral"),
);

/// Plug.
pub const PLUG_X: Field<Length> = Field::new(
    Words {
        key: "plug_x",
        meaning: "plug gap along the crank from the bore axis, positive to the front",
        measure: "template on the gasket face",
        example: "0 mm",
    },
    OFFSET,
    POSITION,
    Missing::Estimated("spark.plug_x"),
);

/// Plug.
pub const PLUG_Y: Field<Length> = Field::new(
    Words {
        key: "plug_y",
        meaning: "plug gap across the engine from the bore axis, positive to the left",
        measure: "template on the gasket face",
        example: "24 mm",
    },
    OFFSET,
    POSITION,
    Missing::Estimated("spark.plug_y"),
);

/// The burn.
pub const BURNING: Section = Section {
    key: "burning",
    meaning: "how fast the charge burns, where somebody knows better than the correlation",
    shape: Shape::Once,
    entries: &[&DELAY.entry, &DURATION.entry, &FACTOR.entry],
    sections: &[],
};

/// First tenth.
pub const DELAY: Field<CrankAngle> = Field::new(
    Words {
        key: "delay",
        meaning: "from spark to 10 % burned, at every speed; with duration",
        measure: "cylinder pressure",
        example: "24 deg",
    },
    Range::open(0.0, 180.0),
    BURN_ANGLE,
    Missing::Taken("by correlation"),
);

/// Main part.
pub const DURATION: Field<CrankAngle> = Field::new(
    Words {
        key: "duration",
        meaning: "from 10 % to 90 % burned, at every speed; with delay",
        measure: "cylinder pressure",
        example: "28 deg",
    },
    Range::open(0.0, 180.0),
    BURN_ANGLE,
    Missing::Taken("by correlation"),
);

/// Factor.
pub const FACTOR: Field<Ratio> = Field::new(
    Words {
        key: "factor",
        meaning: "on both angles of the correlation: below 1 for a chamber that burns faster than most",
        measure: "",
        example: "1.0 ± 0.1",
    },
    Range::open(0.1, 10.0),
    FACTOR_USUAL,
    Missing::Estimated("burning.factor"),
);
