//! The words of a plan: what a search may put together from a base, and what it is judged by. The adjustments are in
//! `plan_adjust.rs`.

use units::{AngularVelocity, CrankAngle, Length, Ratio};

use super::plan_adjust::ADJUST;
use super::swap::{CHANGE, REPLACE, TAKE};
use super::usual::AS_SAID;
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words, sheet};

/// A whole plan.
pub const PLAN: Section = Section {
    key: "",
    meaning: "what a search may put together from a base, and what it is judged by",
    shape: Shape::Once,
    entries: &[&sheet::FORMAT, &sheet::NAME, &sheet::NOTE, &BASE, &CURRENCY, &OBJECTIVES],
    sections: &[&BAND, &PREFER, &MUST, &CHOICE, &ADJUST],
};

/// The engine as it is.
pub const BASE: Entry = Entry::new(
    Words {
        key: "base",
        meaning: "file name of the build sheet, beside this plan, that everything is measured against",
        measure: "",
        example: "heron.build.toml",
    },
    Form::Text,
    Missing::Required,
);

/// What prices are in.
pub const CURRENCY: Entry = Entry::new(
    Words { key: "currency", meaning: "what prices are told in", measure: "", example: "crowns" },
    Form::Text,
    Missing::Taken("prices without a currency"),
);

/// What counts as better.
pub const OBJECTIVES: Entry = Entry::new(
    Words {
        key: "objectives",
        meaning: "what counts as better: mean torque below band.split, mean power above it, less cost, less metal taken off",
        measure: "",
        example: "[\"torque_below\", \"power_above\", \"cost\"]",
    },
    Form::Names(&["torque_below", "power_above", "cost", "metal_removed"]),
    Missing::Taken("all four"),
);

const SPEED: Range = Range::open(100.0, 30_000.0);

/// Where it is driven.
pub const BAND: Section = Section {
    key: "band",
    meaning: "the speeds the engine is driven at, and where below ends and above begins",
    shape: Shape::Once,
    entries: &[&FROM.entry, &SPLIT.entry, &TO.entry, &POINTS],
    sections: &[],
};

/// Lower end.
pub const FROM: Field<AngularVelocity> = Field::new(
    Words { key: "from", meaning: "lowest speed of the band", measure: "", example: "3200 rpm" },
    SPEED,
    AS_SAID,
    Missing::Taken("use.band_from of the base"),
);

/// Where power begins to matter.
pub const SPLIT: Field<AngularVelocity> = Field::new(
    Words {
        key: "split",
        meaning: "torque is averaged from the lower end to here, power from here to the upper end",
        measure: "",
        example: "4500 rpm",
    },
    SPEED,
    AS_SAID,
    Missing::Taken("the middle of the band"),
);

/// Upper end.
pub const TO: Field<AngularVelocity> = Field::new(
    Words { key: "to", meaning: "highest speed of the band", measure: "", example: "6200 rpm" },
    SPEED,
    AS_SAID,
    Missing::Taken("use.band_to of the base"),
);

/// How many speeds.
pub const POINTS: Entry = Entry::new(
    Words {
        key: "points",
        meaning: "number of speeds that are run, evenly over the band",
        measure: "",
        example: "12",
    },
    Form::Count { least: 3, most: 60 },
    Missing::Taken("12"),
);

/// What the answer leans to.
pub const PREFER: Section = Section {
    key: "prefer",
    meaning: "how much a gain in percent counts where one of the front has to be named first; what is within 1 % of the \
              best goes to the cheaper",
    shape: Shape::Once,
    entries: &[&TORQUE_BELOW, &POWER_ABOVE],
    sections: &[],
};

/// Weight of torque.
pub const TORQUE_BELOW: Entry = Entry::new(
    Words {
        key: "torque_below",
        meaning: "weight of mean torque below the split",
        measure: "",
        example: "1",
    },
    Form::Count { least: 0, most: 100 },
    Missing::Taken("1"),
);

/// Weight of power.
pub const POWER_ABOVE: Entry = Entry::new(
    Words { key: "power_above", meaning: "weight of mean power above the split", measure: "", example: "2" },
    Form::Count { least: 0, most: 100 },
    Missing::Taken("1"),
);

/// What every combination has to keep.
pub const MUST: Section = Section {
    key: "must",
    meaning: "what every combination has to keep; what is not said is not asked for, but that everything clears its limits",
    shape: Shape::Once,
    entries: &[
        &CLEAR,
        &CUTTING,
        &COMPRESSION_LEAST.entry,
        &COMPRESSION_MOST.entry,
        &OCTANE.entry,
        &KNOCK_MOST.entry,
        &RETARD_MOST.entry,
        &BUDGET,
        &METAL_MOST.entry,
    ],
    sections: &[],
};

/// How clear.
pub const CLEAR: Entry = Entry::new(
    Words {
        key: "clear",
        meaning: "limits: every gap at its limit or over it; touch: nothing touches; ignore: gaps are told, not asked for",
        measure: "",
        example: "limits",
    },
    Form::Choice(&["limits", "touch", "ignore"]),
    Missing::Taken("limits"),
);

/// Whether metal may be taken off.
pub const CUTTING: Entry = Entry::new(
    Words {
        key: "cutting",
        meaning: "none: no skim, no decking and no option that removes metal; allowed: they may",
        measure: "",
        example: "none",
    },
    Form::Choice(&["none", "allowed"]),
    Missing::Taken("allowed"),
);

const RATIO: Range = Range::open(1.0, 100.0);

/// Lower end of the window.
pub const COMPRESSION_LEAST: Field<Ratio> = Field::new(
    Words {
        key: "compression_least",
        meaning: "lowest static compression of any cylinder",
        measure: "",
        example: "9.5",
    },
    RATIO,
    AS_SAID,
    Missing::Taken("no lower end"),
);

/// Upper end.
pub const COMPRESSION_MOST: Field<Ratio> = Field::new(
    Words {
        key: "compression_most",
        meaning: "highest static compression of any cylinder",
        measure: "",
        example: "11.0",
    },
    RATIO,
    AS_SAID,
    Missing::Taken("no upper end"),
);

/// What the pump sells.
pub const OCTANE: Field<Ratio> = Field::new(
    Words {
        key: "octane",
        meaning: "research octane of the fuel that all combinations run on; the motor octane is estimated from it",
        measure: "the pump",
        example: "98",
    },
    Range::open(40.0, 150.0),
    AS_SAID,
    Missing::Taken("the base's fuel"),
);

/// How near to knock.
pub const KNOCK_MOST: Field<Ratio> = Field::new(
    Words {
        key: "knock_most",
        meaning: "largest knock integral at any speed of the band; 1 is knock",
        measure: "",
        example: "0.9",
    },
    Range::open(0.0, 10.0),
    AS_SAID,
    Missing::Taken("1 where the timing is given by a table, else no limit but that of the timing"),
);

/// How late the spark may have to be.
pub const RETARD_MOST: Field<CrankAngle> = Field::new(
    Words {
        key: "retard_most",
        meaning: "how much later than for best torque knock may make the spark at any speed of the band",
        measure: "",
        example: "6 deg",
    },
    Range::from(0.0, 60.0),
    AS_SAID,
    Missing::Taken("no limit"),
);

/// What may be spent.
pub const BUDGET: Entry = Entry::new(
    Words {
        key: "budget",
        meaning: "the most that parts and work may cost together",
        measure: "",
        example: "1500",
    },
    Form::Count { least: 0, most: 1_000_000_000 },
    Missing::Taken("no limit"),
);

/// How much may come off.
pub const METAL_MOST: Field<Length> = Field::new(
    Words {
        key: "metal_most",
        meaning: "the most metal that may be taken off, depth upon depth: skim, decking and what options remove",
        measure: "",
        example: "0.6 mm",
    },
    Range::from(0.0, 1000.0),
    AS_SAID,
    Missing::Taken("no limit"),
);

/// One thing to choose.
pub const CHOICE: Section = Section {
    key: "choice",
    meaning: "one thing to choose, such as which head; options of later choices lie on top of those of earlier ones",
    shape: Shape::List,
    entries: &[&CHOICE_NAME],
    sections: &[&OPTION],
};

/// What is chosen.
pub const CHOICE_NAME: Entry = Entry::new(
    Words {
        key: "name",
        meaning: "what is chosen, in letters, digits, _ and -",
        measure: "",
        example: "head",
    },
    Form::Name,
    Missing::Required,
);

/// One of the options.
pub const OPTION: Section = Section {
    key: "option",
    meaning: "one option; with nothing but a name and a price it leaves the base as it is",
    shape: Shape::List,
    entries: &[&OPTION_NAME, &PRICE, &REMOVES.entry, &OPTION_FROM, &TAKE],
    sections: &[&REPLACE, &CHANGE],
};

/// What people call it.
pub const OPTION_NAME: Entry = Entry::new(
    Words { key: "name", meaning: "what people call it", measure: "", example: "Bittern head" },
    Form::Text,
    Missing::Required,
);

/// What it costs.
pub const PRICE: Entry = Entry::new(
    Words {
        key: "price",
        meaning: "what it costs, part and fitting, in whole units",
        measure: "",
        example: "350",
    },
    Form::Count { least: 0, most: 1_000_000_000 },
    Missing::Taken("0"),
);

/// What comes off for it.
pub const REMOVES: Field<Length> = Field::new(
    Words {
        key: "removes",
        meaning: "depth of metal that has to come off the engine's own parts for it, such as half an overbore",
        measure: "",
        example: "0.25 mm",
    },
    Range::from(0.0, 1000.0),
    AS_SAID,
    Missing::Taken("nothing"),
);

/// Where it comes from.
pub const OPTION_FROM: Entry = Entry::new(
    Words {
        key: "from",
        meaning: "file name of a build sheet or a swap sheet, beside this plan, that parts are taken from",
        measure: "",
        example: "bittern.build.toml",
    },
    Form::Text,
    Missing::Taken("no other sheet"),
);
