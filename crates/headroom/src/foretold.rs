//! Whether what was predicted for a change is what the brake then said. Leaves out how either was found, and words.

use cycle::speed_point::Outcome;
use parts::Build;
use pulls::{Comparison, Curve, Weights};

use crate::pull::{PullError, PullOptions, USUAL_ERROR_CALIBRATED, pull};

/// Predicted and measured gain of a change.
#[derive(Clone, Debug, PartialEq)]
pub struct Foretold {
    /// Over the band of the comparison, percent of the base's mean.
    pub predicted_percent: f64,
    /// The same as measured.
    pub measured_percent: f64,
    /// Ends of its interval; none without pulls to spare.
    pub measured_interval: Option<(f64, f64)>,
    /// What a prediction of a change is usually off by, percent.
    pub usual_error_percent: f64,
    /// By speed.
    pub by_speed: Vec<ForetoldAt>,
    /// Whether measured pulls had corrected the model.
    pub calibrated: bool,
}

/// At one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ForetoldAt {
    /// The speed.
    pub rpm: f64,
    /// Predicted, percent of the base.
    pub predicted_percent: f64,
    /// Measured, percent of the base; none where the test has no figure.
    pub measured_percent: Option<f64>,
    /// Ends of its interval.
    pub measured_interval: Option<(f64, f64)>,
}

impl Foretold {
    /// Measured less predicted, points of percent.
    pub fn off_percent(&self) -> f64 {
        self.measured_percent - self.predicted_percent
    }

    /// Whether the measured interval, and what a prediction is usually off by, leave room for both to be right.
    pub fn holds(&self) -> bool {
        let half = self.measured_interval.map_or(0.0, |(low, high)| 0.5 * (high - low));
        self.off_percent().abs() <= half.hypot(self.usual_error_percent)
    }
}

/// Predicts base and candidate over the band of a comparison and lays the gain beside the measured one. `None` where the pulls
/// hold no difference, or the prediction broke off at an end.
pub fn foretold(
    base: &Build,
    candidate: &Build,
    comparison: &Comparison,
    options: &PullOptions,
) -> Result<Option<Foretold>, PullError> {
    let Some(difference) = &comparison.difference else { return Ok(None) };
    let (from_rpm, to_rpm) = comparison.band_rpm;
    let options = PullOptions { from_rpm: Some(from_rpm), to_rpm: Some(to_rpm), ..*options };
    let curve = |build: &Build| -> Result<Option<Curve>, PullError> {
        let answer = pull(build, &options)?;
        let sound = answer.points.iter().all(|point| !matches!(point.outcome, Outcome::Broke(_)));
        let (speed_rpm, torque_nm) = answer.points.iter().map(|point| (point.rpm, point.torque_n_m)).unzip();
        Ok(sound.then_some(Curve { speed_rpm, torque_nm }))
    };
    let (Some(of_base), Some(of_candidate)) = (curve(base)?, curve(candidate)?) else { return Ok(None) };
    let even = Weights::default();
    let mean = |curve: &Curve| curve.mean(comparison.measure, &even);
    let percent = |candidate: f64, base: f64| 100.0 * (candidate / base - 1.0);
    let by_speed = of_base.speed_rpm.iter().enumerate().map(|(i, &rpm)| {
        let at = comparison
            .by_speed
            .iter()
            .min_by(|a, b| (a.speed_rpm - rpm).abs().total_cmp(&(b.speed_rpm - rpm).abs()));
        ForetoldAt {
            rpm,
            predicted_percent: percent(of_candidate.torque_nm[i], of_base.torque_nm[i]),
            measured_percent: at.map(|at| at.percent),
            measured_interval: at.and_then(|at| at.interval_percent),
        }
    });
    Ok(Some(Foretold {
        predicted_percent: percent(mean(&of_candidate), mean(&of_base)),
        measured_percent: difference.percent,
        measured_interval: difference.interval_percent,
        usual_error_percent: 100.0 * USUAL_ERROR_CALIBRATED[1],
        by_speed: by_speed.collect(),
        calibrated: options.calibration.is_some(),
    }))
}

/// The answer in a few sentences.
pub fn verdict(answer: &Foretold) -> Vec<String> {
    let signed = crate::pulls_words::signed;
    let half = answer
        .measured_interval
        .map_or(String::new(), |(low, high)| format!(" \u{b1} {:.1}", 0.5 * (high - low)));
    let with = if answer.calibrated { "calibrated on the base's pulls" } else { "not calibrated" };
    let first = if answer.holds() { "Held" } else { "Did not hold" };
    let mut sentences = vec![format!(
        "{first}: predicted {} (model {with}), measured {}{half}.",
        signed(answer.predicted_percent),
        signed(answer.measured_percent),
    )];
    sentences.push(if answer.holds() {
        format!(
            "They differ by {:.1} points, within the test's interval and the {:.0} % a predicted change is usually off by (common \
             practice, no source).",
            answer.off_percent().abs(),
            answer.usual_error_percent
        )
    } else {
        format!(
            "They differ by {:.1} points, more than the test's interval and the {:.0} % a predicted change is usually off by (common \
             practice, no source). To do: check that the candidate's sheet is what was on the brake; then flow, cam timing and spark.",
            answer.off_percent().abs(),
            answer.usual_error_percent
        )
    });
    sentences
}

/// Headings, then a row a speed.
pub fn rows(answer: &Foretold) -> Vec<Vec<String>> {
    let signed = crate::pulls_words::signed;
    let mut rows = vec![["rpm", "predicted", "measured", "interval"].map(str::to_owned).to_vec()];
    rows.extend(answer.by_speed.iter().map(|at| {
        vec![
            crate::pulls_words::thousands(at.rpm),
            signed(at.predicted_percent),
            at.measured_percent.map_or(String::new(), signed),
            at.measured_interval
                .map_or(String::new(), |(low, high)| format!("{} to {}", signed(low), signed(high))),
        ]
    }));
    rows
}
