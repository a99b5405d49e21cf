//! What a column of a brake's file can be, and the words it is recognised by. Leaves out its unit (`column_unit.rs`).

use units::{
    AngularVelocity, MassRate, Power, Pressure, Quantity, Ratio, ThermodynamicTemperature, Time, Torque, Unit,
};

/// What a column is taken for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ColumnKind {
    /// Time since some beginning, or of the day.
    Time,
    /// Engine speed.
    Speed,
    /// Torque as measured.
    Torque,
    /// Power as measured.
    Power,
    /// Torque somebody already corrected.
    CorrectedTorque,
    /// Power somebody already corrected.
    CorrectedPower,
    /// The factor it was corrected with.
    Factor,
    /// Barometer.
    Barometer,
    /// Inlet air.
    InletAir,
    /// Air of the cell.
    DryBulb,
    /// Wet-bulb thermometer.
    WetBulb,
    /// Dew point.
    DewPoint,
    /// Relative humidity.
    Humidity,
    /// Coolant.
    Coolant,
    /// Oil.
    Oil,
    /// Exhaust gas.
    Exhaust,
    /// Manifold pressure.
    Manifold,
    /// Fuel mass flow.
    FuelFlow,
    /// Air mass flow.
    AirFlow,
    /// Excess air.
    Lambda,
    /// Air over fuel.
    AirFuelRatio,
    /// Number of the run, where a file holds several.
    Run,
    /// Not used; it stays in the file it came in.
    Ignored,
}

impl ColumnKind {
    /// All of them.
    pub const ALL: [Self; 23] = [
        Self::Time,
        Self::Speed,
        Self::Torque,
        Self::Power,
        Self::CorrectedTorque,
        Self::CorrectedPower,
        Self::Factor,
        Self::Barometer,
        Self::InletAir,
        Self::DryBulb,
        Self::WetBulb,
        Self::DewPoint,
        Self::Humidity,
        Self::Coolant,
        Self::Oil,
        Self::Exhaust,
        Self::Manifold,
        Self::FuelFlow,
        Self::AirFlow,
        Self::Lambda,
        Self::AirFuelRatio,
        Self::Run,
        Self::Ignored,
    ];

    /// What it is typed as, and how layout files and stored pulls name it.
    pub fn key(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Speed => "speed",
            Self::Torque => "torque",
            Self::Power => "power",
            Self::CorrectedTorque => "corrected_torque",
            Self::CorrectedPower => "corrected_power",
            Self::Factor => "factor",
            Self::Barometer => "barometer",
            Self::InletAir => "inlet_air",
            Self::DryBulb => "dry_bulb",
            Self::WetBulb => "wet_bulb",
            Self::DewPoint => "dew_point",
            Self::Humidity => "humidity",
            Self::Coolant => "coolant",
            Self::Oil => "oil",
            Self::Exhaust => "exhaust",
            Self::Manifold => "manifold",
            Self::FuelFlow => "fuel_flow",
            Self::AirFlow => "air_flow",
            Self::Lambda => "lambda",
            Self::AirFuelRatio => "afr",
            Self::Run => "run",
            Self::Ignored => "ignored",
        }
    }

    /// The kind of a key.
    pub fn parse(text: &str) -> Option<Self> {
        let plain = text.trim().to_lowercase().replace([' ', '-'], "_");
        Self::ALL.into_iter().find(|kind| kind.key() == plain)
    }

    /// Its units; none for numbers that have none.
    pub fn units(self) -> &'static [Unit] {
        match self {
            Self::Time => Time::UNITS,
            Self::Speed => AngularVelocity::UNITS,
            Self::Torque | Self::CorrectedTorque => Torque::UNITS,
            Self::Power | Self::CorrectedPower => Power::UNITS,
            Self::Barometer | Self::Manifold => Pressure::UNITS,
            Self::InletAir
            | Self::DryBulb
            | Self::WetBulb
            | Self::DewPoint
            | Self::Coolant
            | Self::Oil
            | Self::Exhaust => ThermodynamicTemperature::UNITS,
            Self::Humidity => Ratio::UNITS,
            Self::FuelFlow | Self::AirFlow => MassRate::UNITS,
            Self::Factor | Self::Lambda | Self::AirFuelRatio | Self::Run | Self::Ignored => &[],
        }
    }

    /// The unit stored pulls keep it in; its symbol is empty for a bare number.
    pub fn stored_unit(self) -> Unit {
        let symbol = match self {
            Self::Time => "s",
            Self::Speed => "rpm",
            Self::Torque | Self::CorrectedTorque => "N m",
            Self::Power | Self::CorrectedPower => "kW",
            Self::Barometer | Self::Manifold => "kPa",
            Self::Humidity => "%",
            Self::FuelFlow | Self::AirFlow => "kg/h",
            _ if self.units().is_empty() => "",
            _ => "degC",
        };
        let bare = Unit { symbol: "", spellings: &[], factor: 1.0, offset: 0.0, decimals: 3 };
        self.units().iter().find(|unit| unit.symbol == symbol).copied().unwrap_or(bare)
    }
}

/// Words a header is recognised by, in English, German, French, Italian and Spanish. The first line that fits wins, so
/// special things stand above general ones. Every part of a line has to be in the header.
const WORDS: &[(&[&str], ColumnKind)] = &[
    // What was asked for is not what was measured.
    (&["setpoint"], ColumnKind::Ignored),
    (&["target"], ColumnKind::Ignored),
    (&["demand"], ColumnKind::Ignored),
    (&["soll"], ColumnKind::Ignored),
    (&["consigne"], ColumnKind::Ignored),
    (&["loss"], ColumnKind::Ignored),
    (&["verlust"], ColumnKind::Ignored),
    (&["vehicle"], ColumnKind::Ignored),
    (&["roller"], ColumnKind::Ignored),
    (&["rolle"], ColumnKind::Ignored),
    (&["km/h"], ColumnKind::Ignored),
    (&["mph"], ColumnKind::Ignored),
    // Weather and temperatures before torque: "couple" is a torque, "thermocouple" is not.
    (&["wet", "bulb"], ColumnKind::WetBulb),
    (&["wetbulb"], ColumnKind::WetBulb),
    (&["feuchtkugel"], ColumnKind::WetBulb),
    (&["dew"], ColumnKind::DewPoint),
    (&["taupunkt"], ColumnKind::DewPoint),
    (&["dry", "bulb"], ColumnKind::DryBulb),
    (&["drybulb"], ColumnKind::DryBulb),
    (&["humid"], ColumnKind::Humidity),
    (&["feucht"], ColumnKind::Humidity),
    (&["umidit"], ColumnKind::Humidity),
    (&["humedad"], ColumnKind::Humidity),
    (&["egt"], ColumnKind::Exhaust),
    (&["exhaust"], ColumnKind::Exhaust),
    (&["abgas"], ColumnKind::Exhaust),
    (&["oil", "press"], ColumnKind::Ignored),
    (&["öldruck"], ColumnKind::Ignored),
    (&["oil"], ColumnKind::Oil),
    (&["öl"], ColumnKind::Oil),
    (&["huile"], ColumnKind::Oil),
    (&["olio"], ColumnKind::Oil),
    (&["aceite"], ColumnKind::Oil),
    (&["coolant"], ColumnKind::Coolant),
    (&["water"], ColumnKind::Coolant),
    (&["wasser"], ColumnKind::Coolant),
    (&["kühl"], ColumnKind::Coolant),
    (&["clt"], ColumnKind::Coolant),
    (&["ect"], ColumnKind::Coolant),
    (&["eau"], ColumnKind::Coolant),
    (&["acqua"], ColumnKind::Coolant),
    (&["agua"], ColumnKind::Coolant),
    (&["map"], ColumnKind::Manifold),
    (&["manifold", "press"], ColumnKind::Manifold),
    (&["boost"], ColumnKind::Manifold),
    (&["saugrohrdruck"], ColumnKind::Manifold),
    (&["baro"], ColumnKind::Barometer),
    (&["luftdruck"], ColumnKind::Barometer),
    (&["ambient", "press"], ColumnKind::Barometer),
    (&["air", "press"], ColumnKind::Barometer),
    (&["pression", "atmos"], ColumnKind::Barometer),
    (&["pressione", "atmos"], ColumnKind::Barometer),
    (&["iat"], ColumnKind::InletAir),
    (&["intake"], ColumnKind::InletAir),
    (&["inlet"], ColumnKind::InletAir),
    (&["ansaug"], ColumnKind::InletAir),
    (&["admission"], ColumnKind::InletAir),
    (&["aspira"], ColumnKind::InletAir),
    (&["air", "temp"], ColumnKind::InletAir),
    (&["carb", "air"], ColumnKind::InletAir),
    (&["ambient"], ColumnKind::DryBulb),
    (&["cell", "temp"], ColumnKind::DryBulb),
    (&["room", "temp"], ColumnKind::DryBulb),
    (&["lufttemp"], ColumnKind::DryBulb),
    (&["raumtemp"], ColumnKind::DryBulb),
    (&["lambda"], ColumnKind::Lambda),
    (&["afr"], ColumnKind::AirFuelRatio),
    (&["a/f"], ColumnKind::AirFuelRatio),
    (&["fuel"], ColumnKind::FuelFlow),
    (&["kraftstoff"], ColumnKind::FuelFlow),
    (&["air", "flow"], ColumnKind::AirFlow),
    (&["airflow"], ColumnKind::AirFlow),
    (&["maf"], ColumnKind::AirFlow),
    (&["correction", "factor"], ColumnKind::Factor),
    (&["corr", "factor"], ColumnKind::Factor),
    (&["korrekturfaktor"], ColumnKind::Factor),
    (&["facteur"], ColumnKind::Factor),
    (&["cf"], ColumnKind::Factor),
    (&["torque"], ColumnKind::Torque),
    (&["trq"], ColumnKind::Torque),
    (&["tq"], ColumnKind::Torque),
    (&["moment"], ColumnKind::Torque),
    (&["couple"], ColumnKind::Torque),
    (&["coppia"], ColumnKind::Torque),
    (&["par"], ColumnKind::Torque),
    (&["power"], ColumnKind::Power),
    (&["pwr"], ColumnKind::Power),
    (&["leistung"], ColumnKind::Power),
    (&["puissance"], ColumnKind::Power),
    (&["potenza"], ColumnKind::Power),
    (&["potencia"], ColumnKind::Power),
    (&["bhp"], ColumnKind::Power),
    (&["hp"], ColumnKind::Power),
    (&["rpm"], ColumnKind::Speed),
    (&["drehzahl"], ColumnKind::Speed),
    (&["régime"], ColumnKind::Speed),
    (&["regime"], ColumnKind::Speed),
    (&["régimen"], ColumnKind::Speed),
    (&["giri"], ColumnKind::Speed),
    (&["revs"], ColumnKind::Speed),
    (&["engine", "speed"], ColumnKind::Speed),
    (&["speed"], ColumnKind::Speed),
    (&["elapsed"], ColumnKind::Time),
    (&["timestamp"], ColumnKind::Time),
    (&["time"], ColumnKind::Time),
    (&["zeit"], ColumnKind::Time),
    (&["temps"], ColumnKind::Time),
    (&["tempo"], ColumnKind::Time),
    (&["tiempo"], ColumnKind::Time),
    (&["sec"], ColumnKind::Time),
    (&["run"], ColumnKind::Run),
    (&["pull"], ColumnKind::Run),
    (&["lauf"], ColumnKind::Run),
    (&["essai"], ColumnKind::Run),
];

/// A word that says the figure has been corrected already.
const CORRECTED: [&str; 8] = ["corr", "korr", "sae", "std", "din", "jis", "iso1585", "j1349"];

/// What a header says the column is; `None` for one no word of which is known.
pub fn kind_of_name(name: &str) -> Option<ColumnKind> {
    let lower = name.to_lowercase();
    let words: Vec<&str> =
        lower.split(|c: char| !c.is_alphanumeric() && c != '/').filter(|w| !w.is_empty()).collect();
    // Short words stand alone: "par" is no part of "pressure"; long ones may be part of a compound.
    let has = |part: &&str| {
        if part.chars().count() <= 4 {
            words.iter().any(|word| word == part || word.trim_end_matches(char::is_numeric) == *part)
                || (!part.is_ascii() && words.iter().any(|word| word.starts_with(*part)))
        } else {
            lower.contains(*part)
        }
    };
    let begins = |part: &&str| {
        has(part) || (part.chars().count() == 4 && words.iter().any(|word| word.contains(*part)))
    };
    let kind = WORDS.iter().find(|(parts, _)| parts.iter().all(begins)).map(|(_, kind)| *kind)?;
    let corrected = CORRECTED.iter().any(|mark| words.iter().any(|word| word.starts_with(mark)));
    let negated =
        words.iter().any(|word| ["uncorrected", "uncorr", "raw", "observed", "unkorrigiert"].contains(word));
    Some(match kind {
        ColumnKind::Torque if corrected && !negated => ColumnKind::CorrectedTorque,
        ColumnKind::Power if corrected && !negated => ColumnKind::CorrectedPower,
        kind => kind,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_headers_are_taken_for_what_they_are() {
        for (name, kind) in [
            ("RPM", ColumnKind::Speed),
            ("rpm1", ColumnKind::Speed),
            ("Engine Speed", ColumnKind::Speed),
            ("Drehzahl", ColumnKind::Speed),
            ("Motordrehzahl", ColumnKind::Speed),
            ("Drehmoment", ColumnKind::Torque),
            ("Couple", ColumnKind::Torque),
            ("torque_raw", ColumnKind::Torque),
            ("Torque uncorrected", ColumnKind::Torque),
            ("torque_corr", ColumnKind::CorrectedTorque),
            ("SAE Power", ColumnKind::CorrectedPower),
            ("Correction factor", ColumnKind::Factor),
            ("thermocouple EGT 3", ColumnKind::Exhaust),
            ("Baro", ColumnKind::Barometer),
            ("Oil pressure", ColumnKind::Ignored),
            ("Öltemperatur", ColumnKind::Oil),
            ("Kühlwasser", ColumnKind::Coolant),
            ("Relative humidity", ColumnKind::Humidity),
            ("Torque setpoint", ColumnKind::Ignored),
            ("Temps", ColumnKind::Time),
            ("Wet bulb", ColumnKind::WetBulb),
            ("AFR", ColumnKind::AirFuelRatio),
            ("MAP", ColumnKind::Manifold),
        ] {
            assert_eq!(kind_of_name(name), Some(kind), "{name}");
        }
        assert_eq!(kind_of_name("Knock count"), None);
    }

    #[test]
    fn exact_keys_come_back() {
        for kind in ColumnKind::ALL {
            assert_eq!(ColumnKind::parse(kind.key()), Some(kind));
        }
    }
}
