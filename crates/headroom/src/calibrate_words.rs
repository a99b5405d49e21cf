//! A calibration in words: how the model stood beside the brake, what moved, what that suggests about the readings.

use pulls::Measure;
use units::UnitSystem;

use crate::calibrate::Calibration;
use crate::calibrate_fit::Estimate;
use crate::calibrate_prior::Multiplier;
use crate::pulls_words;

/// Half-width of a 95 % interval in standard deviations.
pub const HALF_WIDTH: f64 = 1.96;

/// The answer in a few sentences, the first with how well the model follows.
pub fn verdict(answer: &Calibration) -> Vec<String> {
    let (before, after) =
        (rms_percent(answer, &answer.fit.before_nm), rms_percent(answer, &answer.fit.after_nm));
    let n = answer.pulls.len();
    let moved: Vec<String> = answer.fit.estimates.iter().map(estimate_text).collect();
    let mut sentences = vec![
        format!("Calibrated on {n} {}: {}.", if n == 1 { "pull" } else { "pulls" }, moved.join(", "),),
        format!(
            "The model stood {before:.1} % off the measured torque (root mean square over speed) and stands {after:.1} % off now."
        ),
    ];
    let chi2 = answer.fit.chi2_per_speed;
    if chi2 > TOO_FAR_OFF {
        sentences.push(format!(
            "It still does not follow the curve as well as was expected of it ({:.1} times the stated deviation): the intervals are \
             widened by that, and a reading that shapes the curve should be looked for: exhaust and intake lengths, cam timing.",
            chi2.sqrt()
        ));
    }
    let left = answer.fit.least_information.sqrt() / answer.fit.widened_by;
    if left < 1.0 && answer.fit.estimates.len() > 1 {
        sentences.push(format!(
            "With residuals this large the pulls know the least known mixture of the factors only {left:.1} times as well as it was known \
             before: do not read the factors one by one, fit fewer of them (--fit)."
        ));
    }
    sentences.extend(answer.fit.estimates.iter().map(suggestion));
    sentences
}

/// Squared misses a speed, over those stated, from which a curve is not followed as expected. Our choice, no source.
const TOO_FAR_OFF: f64 = 2.0;

/// `friction × 1.12 ± 0.08`.
pub fn estimate_text(estimate: &Estimate) -> String {
    format!(
        "{} \u{d7} {:.2} \u{b1} {:.2}",
        estimate.multiplier.word(),
        estimate.factor,
        HALF_WIDTH * estimate.sd
    )
}

/// What a factor says about the readings.
pub fn suggestion(estimate: &Estimate) -> String {
    let percent = 100.0 * (estimate.factor - 1.0);
    let name = estimate.multiplier.word();
    if (estimate.factor - 1.0).abs() <= HALF_WIDTH * estimate.sd {
        return format!(
            "Nothing speaks against the sheet's {name}: 1 lies inside the interval of \u{d7} {:.2} to \u{d7} {:.2}.",
            estimate.factor - HALF_WIDTH * estimate.sd,
            estimate.factor + HALF_WIDTH * estimate.sd
        );
    }
    let (side, look) = look_at(estimate.multiplier, percent > 0.0);
    let mut start = name.to_owned();
    if let Some(first) = start.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    format!("{start} {:.0} % {side}: {look}.", percent.abs())
}

/// Where to look when a factor comes out above or below 1. Common practice, no source.
fn look_at(multiplier: Multiplier, above: bool) -> (&'static str, &'static str) {
    match (multiplier, above) {
        (Multiplier::Flow, true) => (
            "high",
            "the head flows more than its table says, or the sheet has a restriction the engine has not; look at the test pressure, \
             the sleeve and the radius at the mouth of the bench",
        ),
        (Multiplier::Flow, false) => (
            "low",
            "the engine breathes worse than the table says; look for what the bench did not have (manifold, choke, air cleaner, \
             silencer), at lash, and at the lift under spring load",
        ),
        (Multiplier::Friction, true) => (
            "high",
            "look at oil temperature and grade, at ring tension and bearing clearance, at fan, pumps and generator that the brake \
             drove along; a brake that reads low looks the same",
        ),
        (Multiplier::Friction, false) => (
            "low",
            "lighter rings, roller gear or thin oil that the sheet does not know; a brake that reads high looks the same",
        ),
        (Multiplier::Burn, true) => (
            "long",
            "the charge burns slower than estimated, or the spark is later than the sheet says; check timing with a lamp, mixture, \
             and where the plug sits",
        ),
        (Multiplier::Burn, false) => (
            "short",
            "the charge burns faster than estimated, or the spark is earlier than the sheet says; check timing with a lamp",
        ),
        (Multiplier::HeatLoss, true) => (
            "high",
            "look at chamber surface and wall temperatures, leakage past rings and valves looks the same",
        ),
        (Multiplier::HeatLoss, false) => {
            ("low", "hotter walls than assumed, or a higher compression than the volumes say")
        }
    }
}

/// Root mean square of model less measured over measured, the brake's scale taken off, in percent.
pub fn rms_percent(answer: &Calibration, model_nm: &[f64]) -> f64 {
    let squares = residuals_percent(answer, model_nm).map(|off| off * off).sum::<f64>();
    (squares / answer.speeds_rpm.len() as f64).sqrt()
}

/// Model less measured over measured at each speed, in percent.
pub fn residuals_percent<'a>(answer: &'a Calibration, model_nm: &'a [f64]) -> impl Iterator<Item = f64> + 'a {
    model_nm.iter().zip(&answer.measured_nm).map(|(model, measured)| 100.0 * (model / measured - 1.0))
}

/// Headings, then a row a speed: measured, before, after, what is left.
pub fn curve_rows(answer: &Calibration, system: UnitSystem) -> Vec<Vec<String>> {
    let torque = |nm: f64| pulls_words::amount(nm, Measure::Torque, system);
    let mut rows = vec![["rpm", "measured", "before", "off", "after", "off"].map(str::to_owned).to_vec()];
    for (i, rpm) in answer.speeds_rpm.iter().enumerate() {
        let (measured, before, after) =
            (answer.measured_nm[i], answer.fit.before_nm[i], answer.fit.after_nm[i]);
        rows.push(vec![
            pulls_words::thousands(*rpm),
            torque(measured),
            torque(before),
            pulls_words::signed(100.0 * (before / measured - 1.0)),
            torque(after),
            pulls_words::signed(100.0 * (after / measured - 1.0)),
        ]);
    }
    rows
}

/// Headings, then a row a factor, the brake last.
pub fn factor_rows(answer: &Calibration) -> Vec<Vec<String>> {
    let head = ["factor", "found", "95 % interval", "known before", "told by the pulls", "width before from"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    let ends =
        |factor: f64, sd: f64| format!("{:.3} to {:.3}", factor - HALF_WIDTH * sd, factor + HALF_WIDTH * sd);
    for one in Multiplier::ALL {
        let Some(found) = answer.fit.estimates.iter().find(|estimate| estimate.multiplier == one) else {
            let mut row = vec![one.word().to_owned(), "1, held".to_owned()];
            row.extend(std::iter::repeat_n(String::new(), 4));
            rows.push(row);
            continue;
        };
        rows.push(vec![
            one.word().to_owned(),
            format!("{:.3}", found.factor),
            ends(found.factor, found.sd),
            format!("1 \u{b1} {:.2}", HALF_WIDTH * one.prior_sd()),
            format!("{:.0} %", 100.0 * found.told_by_pulls.max(0.0)),
            one.prior_source().to_owned(),
        ]);
    }
    let (scale, sd) = answer.fit.scale;
    rows.push(vec![
        "brake and day".to_owned(),
        format!("{:.3}", 1.0 + scale),
        ends(1.0 + scale, sd),
        format!("1 \u{b1} {:.3}", HALF_WIDTH * answer.observed.scale_sd),
        String::new(),
        "brakes differ by 1 % (common practice, no source)".to_owned(),
    ]);
    rows
}

/// What was supposed for the fit, in lines.
pub fn suppositions(answer: &Calibration, model_sd: f64) -> Vec<String> {
    let (whole, known) = answer.pull_sd;
    let whole_text = if known {
        format!("whole pulls scatter by {:.2} % (standard deviation), as measured", 100.0 * whole)
    } else {
        format!(
            "whole pulls scatter by {:.1} % (standard deviation), assumed: three pulls would tell",
            100.0 * whole
        )
    };
    let mut lines = vec![
        whole_text,
        format!(
            "what the model gets wrong of a curve's shape: {:.1} % at each speed (common practice, no source)",
            100.0 * model_sd
        ),
        format!(
            "intervals widened by {:.2} for residuals larger than stated; {} sweeps of the model, {}",
            answer.fit.widened_by,
            answer.fit.n_sweeps,
            answer.fidelity.name()
        ),
        format!(
            "the pulls know every mixture of the factors at least {:.1} times as well as it was known before (1 is asked for)",
            answer.fit.least_information.sqrt()
        ),
    ];
    let moved = answer.pulls.iter().map(|pull| (pull.to_sheet_air - 1.0).abs()).fold(0.0, f64::max);
    lines.push(format!(
        "pulls brought to the air of the sheet by SAE J1349, at most {:.1} % of torque",
        100.0 * moved
    ));
    lines
}
