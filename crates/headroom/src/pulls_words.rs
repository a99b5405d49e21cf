//! Measured pulls in words: the verdict first, then what has to be said with it.

use pulls::column_kind::ColumnKind;
use pulls::compare::{Comparison, Difference, Drift};
use pulls::{CompareFinding, Correction, Mark, Measure, Standard};
use units::power::kilowatt;
use units::thermodynamic_temperature::degree_celsius;
use units::torque::newton_meter;
use units::{Power, ThermodynamicTemperature, Torque, UnitSystem, show, show_decimals};

/// What goes with every answer about pulls.
pub const CAUTION: &str = "The interval covers the scatter and the drift of this test, not what the brake does wrong the same way \
                           every time. Springs, rotating parts, fuel and exhaust gas hurt people: guards, ventilation, \
                           trained operators.";

/// The verdict, in sentences, gravest first.
pub fn verdict(comparison: &Comparison, system: UnitSystem) -> Vec<String> {
    let band = band(comparison.band_rpm);
    let Some(difference) = &comparison.difference else { return vec![repeat(comparison)] };
    let could = |word: &str| {
        difference
            .could_show_percent
            .map_or(String::new(), |could| format!("; this test could {word} {could:.1} %"))
    };
    let size = difference.percent.abs();
    let first = match (difference.interval_percent, difference.half_width_percent()) {
        (Some(_), Some(half)) if !separable(difference) => {
            let side = if difference.percent < 0.0 { "below" } else { "above" };
            let (size, half) = with_half_width(size, half);
            format!(
                "Not proven: B lies {size} % ± {half} {side} A over {band}, but the base was not run again, so the part \
                 cannot be told from drift."
            )
        }
        (Some(_), Some(half)) if difference.is_shown() => {
            let word = if difference.percent < 0.0 { "Worse" } else { "Better" };
            let (size, half) = with_half_width(size, half);
            format!("{word} by {size} % ± {half} over {band}{}.", could("have shown"))
        }
        (Some(_), Some(half)) => {
            let sign = if difference.percent < 0.0 { "\u{2212}" } else { "+" };
            let (size, half) = with_half_width(size, half);
            format!("No difference shown: {sign}{size} % ± {half} over {band}{}.", could("have shown"))
        }
        _ => {
            let side = if difference.percent < 0.0 { "below" } else { "above" };
            format!(
                "Not proven: B lies {size:.1} % {side} A over {band}, and so few pulls say nothing about their scatter; run \
                 each part three times."
            )
        }
    };
    let mut sentences = vec![first];
    let means = comparison
        .groups
        .iter()
        .map(|group| format!("{} {}", group.group, amount(group.mean, comparison.measure, system)));
    let means: Vec<String> = means.collect();
    let counted = if comparison.even_weights { "Mean" } else { "Weighted mean" };
    sentences.push(format!(
        "{counted} {}, {}: {}.",
        comparison.measure.word(),
        corrected_to(comparison.standard),
        means.join(", ")
    ));
    if let Drift::Fitted { percent, half_width_percent } = difference.drift {
        let half = half_width_percent.map_or(String::new(), |half| format!(" ± {half:.1}"));
        sentences.push(format!(
            "The base drifted by {}{half} from the first pull to the last; that is taken out.",
            signed(percent)
        ));
    }
    sentences
}

fn separable(difference: &Difference) -> bool {
    matches!(difference.drift, Drift::Fitted { .. })
}

fn repeat(comparison: &Comparison) -> String {
    let band = band(comparison.band_rpm);
    let parts: Vec<String> = comparison
        .groups
        .iter()
        .map(|group| match (group.deviation_percent, group.spread_percent) {
            (Some(deviation), Some(spread)) => format!(
                "{} pulls of {} scatter by {deviation:.2} % (standard deviation), {spread:.1} % from lowest to highest",
                group.n, group.group
            ),
            _ => format!("one pull of {} says nothing about scatter", group.group),
        })
        .collect();
    let text = parts.join("; ");
    format!("Nothing to compare: over {band}, {text}. A difference needs pulls of A and of B.")
}

/// What the figures were corrected to.
pub fn corrected_to(standard: Option<Standard>) -> String {
    standard.map_or("as measured".to_owned(), |standard| format!("corrected to {}", standard.name()))
}

/// A percentage and its half-width with the digits that deserves: one decimal, two where the half-width is under a tenth.
fn with_half_width(value: f64, half: f64) -> (String, String) {
    let decimals = if half < 0.095 { 2 } else { 1 };
    (format!("{value:.decimals$}"), format!("{half:.decimals$}"))
}

/// `−0.4 %`.
pub fn signed(percent: f64) -> String {
    let text = format!("{percent:+.1} %");
    text.replace('-', "\u{2212}").replace("\u{2212}0.0", "0.0").replace("+0.0", "0.0")
}

/// `3,000 to 6,000 rpm`.
pub fn band((low_rpm, high_rpm): (f64, f64)) -> String {
    format!("{} to {} rpm", thousands(low_rpm), thousands(high_rpm))
}

/// A speed with its thousands apart.
pub fn thousands(rpm: f64) -> String {
    let whole = rpm.round() as i64;
    if whole.abs() < 1000 { whole.to_string() } else { format!("{},{:03}", whole / 1000, whole.abs() % 1000) }
}

/// A mean torque (N m) or power (kW) with its unit.
pub fn amount(value: f64, measure: Measure, system: UnitSystem) -> String {
    match measure {
        Measure::Torque => torque(value, system),
        Measure::Power => power(value, system),
    }
}

/// A torque given in N m.
pub fn torque(nm: f64, system: UnitSystem) -> String {
    show(Torque::new::<newton_meter>(nm), system)
}

/// A power given in kW.
pub fn power(kw: f64, system: UnitSystem) -> String {
    show(Power::new::<kilowatt>(kw), system)
}

fn temperature(celsius: f64, system: UnitSystem) -> String {
    show_decimals(ThermodynamicTemperature::new::<degree_celsius>(celsius), system, 0)
}

fn kelvins(k: f64, system: UnitSystem) -> String {
    match system {
        UnitSystem::Metric => format!("{k:.0} K"),
        UnitSystem::Inch => format!("{:.0} degF", k * 1.8),
    }
}

fn kind_word(kind: ColumnKind) -> &'static str {
    match kind {
        ColumnKind::Coolant => "coolant",
        ColumnKind::Oil => "oil",
        ColumnKind::InletAir => "inlet air",
        other => other.key(),
    }
}

/// A finding: what, why it matters, what to do.
pub fn finding(finding: &CompareFinding, system: UnitSystem) -> String {
    match finding {
        CompareFinding::NotReturned { explained_by_time, half_width_with_drift_percent } => {
            let wide = half_width_with_drift_percent.map_or(String::new(), |half| {
                format!(" With a drift allowed for, the same pulls say no better than ± {half:.1} %.")
            });
            format!(
                "The base was not run again after the change: {:.0} % of the part's column is explained by time alone, so drift \
                 and part are nearly one.{wide} To do: put the base back and run it three times more.",
                100.0 * explained_by_time
            )
        }
        CompareFinding::Outlier { pull, off_percent, chance } => format!(
            "{pull} lies {} off the others; with so many pulls scatter alone would do that {:.1} times in 100. It is kept. To \
             do: find out what was different, and run it again.",
            signed(*off_percent),
            100.0 * chance
        ),
        CompareFinding::BaseMoved { percent } => format!(
            "The base moved by {} during the test, more than the 1 % a good brake repeats within on one day (trade press). To \
             do: warm up longer, check oil, fuel and plugs, and run the test again.",
            signed(*percent)
        ),
        CompareFinding::TemperatureMismatch { kind, base_c, changed_c, allowed_k } => format!(
            "The {word} was at {} with A and at {} with B, more than {} apart (common practice, no source). Some of the \
             difference may be its. To do: run B again at the {word} of A.",
            temperature(*base_c, system),
            temperature(*changed_c, system),
            kelvins(*allowed_k, system),
            word = kind_word(*kind)
        ),
        CompareFinding::TemperatureUnknown { kind } => {
            format!(
                "The temperature of the {} was not read in every pull; nobody can tell whether it matched.",
                kind_word(*kind)
            )
        }
        CompareFinding::FewPulls { group, n } => format!(
            "{group} has {n} {}; three at least tell scatter from difference. To do: run it again.",
            if *n == 1 { "pull" } else { "pulls" }
        ),
        CompareFinding::Scatter { group, deviation_percent } => format!(
            "The pulls of {group} scatter by {deviation_percent:.1} %, more than the 1 % a good brake repeats within on one day \
             (trade press). To do: start every pull at the same temperatures and the same speed."
        ),
        CompareFinding::OutsideWindow { pulls } => format!(
            "Corrected outside the window of the standard: {}. The difference between pulls in the same air stands; the figures \
             themselves are not to be claimed.",
            pulls.join(", ")
        ),
        CompareFinding::MixedSweeps => {
            "Sweeps up, sweeps down and held speeds are mixed; inertia makes them differ by 2 to 4 % \
                                        (common practice). To do: compare like with like."
                .to_owned()
        }
        CompareFinding::MixedProcessing => {
            "Smoothing or inertia is not the same for all pulls. To do: set the same for all.".to_owned()
        }
        CompareFinding::MixedPlace => {
            "Torque at the wheels and torque at the crank are mixed; they differ by the losses of the \
                                       driveline, which nobody measured here. To do: compare like with like."
                .to_owned()
        }
        CompareFinding::OrderForTime => {
            "Not every pull has a time of its own: they are taken to follow each other evenly, in \
                                         the order of A, B, A2 (assumed)."
                .to_owned()
        }
    }
}

/// Why a corrected figure is not to be claimed.
pub fn mark(mark: &Mark, system: UnitSystem) -> String {
    let zero_c = 273.15;
    match mark {
        Mark::Factor { found, allowed } => format!(
            "the factor {found:.3} is outside {:.2} to {:.2}",
            allowed.start(),
            allowed.end()
        ),
        Mark::Temperature { found_k, allowed_k } => format!(
            "inlet air of {} is outside {} to {}",
            temperature(found_k - zero_c, system),
            temperature(allowed_k.start() - 273.0, system),
            temperature(allowed_k.end() - 273.0, system)
        ),
        Mark::Pressure { found_kpa, allowed_kpa } => format!(
            "dry pressure of {found_kpa:.1} kPa is outside {:.0} to {:.0} kPa",
            allowed_kpa.start(),
            allowed_kpa.end()
        ),
        Mark::NotForThisEngine => "the formula was not written for such an engine".to_owned(),
        Mark::BoostControl => "where boost is controlled the charge does not follow the barometer, and the correction overdoes it".to_owned(),
        Mark::LowConfidence => "two forms of this standard are in use; this is that of 1993, which is ISO 1585".to_owned(),
        Mark::BorrowedWindow => "the standard's own window is not known here; that of SAE J1349 is used".to_owned(),
    }
}

/// All marks of a correction in a line; empty where there is nothing to say.
pub fn marks(correction: &Correction, system: UnitSystem) -> String {
    correction.marks.iter().map(|one| mark(one, system)).collect::<Vec<_>>().join("; ")
}
