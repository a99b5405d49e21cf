//! Whether a change made a difference: pulls of A, B and A again over one band of speeds, with drift taken out. Leaves out
//! words and pictures, and what else speaks against the test (`compare_findings.rs`).
//!
//! Every pull becomes one number, its mean over the band. The logarithms of these are fitted by
//! ln y = a + b t + c [B], t the time of the pull: the base drifts along a straight line in time, and c is what the part did.
//! Where the base was not run again after B the time cannot be told from the part, so b is left out and that is said.
//!
//! Logarithms, because the scatter of a brake goes with the reading and because a difference in percent is then c itself.

use crate::compare_findings::{CompareFinding, findings};
use crate::correct::{Correction, correction};
use crate::correct_standard::Standard;
use crate::curve::{Curve, Measure, Weights, common_speeds};
use crate::detectable::{smallest_shift, student_quantile, two_sided_chance};
use crate::processing::ProcessingError;
use crate::pull::{Group, Pull};
use crate::regression::{Fit, least_squares};
use crate::weather::WeatherError;
use crate::weather_readings::WeatherMissing;

/// How to compare.
#[derive(Clone, Debug)]
pub struct CompareOptions {
    /// What to correct to; `None` compares as measured.
    pub standard: Option<Standard>,
    /// The band in rpm; what all pulls cover, otherwise.
    pub band_rpm: Option<(f64, f64)>,
    /// Step of the common speeds.
    pub step_rpm: f64,
    /// Torque or power.
    pub measure: Measure,
    /// How much each speed counts.
    pub weights: Weights,
    /// Of the intervals.
    pub confidence: f64,
    /// With which the smallest difference would have been shown.
    pub chance: f64,
}

impl Default for CompareOptions {
    /// SAE J1349, torque, steps of 100 rpm, every speed the same, 95 % intervals, 80 % chance.
    fn default() -> Self {
        Self {
            standard: Some(Standard::SaeJ1349),
            band_rpm: None,
            step_rpm: 100.0,
            measure: Measure::Torque,
            weights: Weights::default(),
            confidence: 0.95,
            chance: 0.8,
        }
    }
}

/// What the pulls say.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// What they were corrected to.
    pub standard: Option<Standard>,
    /// Torque or power.
    pub measure: Measure,
    /// The band.
    pub band_rpm: (f64, f64),
    /// Whether every speed of it counts the same.
    pub even_weights: bool,
    /// Of the intervals, and chance of the smallest difference.
    pub confidence: f64,
    /// With which the smallest difference would have been shown.
    pub chance: f64,
    /// The common speeds.
    pub speeds_rpm: Vec<f64>,
    /// Each pull, in the order of time.
    pub pulls: Vec<ComparedPull>,
    /// Each group that has pulls.
    pub groups: Vec<GroupRepeat>,
    /// B against A; none where one of them has no pull.
    pub difference: Option<Difference>,
    /// B against A at each common speed; empty without a difference.
    pub by_speed: Vec<SpeedDifference>,
    /// What has to be said with it.
    pub findings: Vec<CompareFinding>,
}

/// One pull of a comparison.
#[derive(Clone, Debug, PartialEq)]
pub struct ComparedPull {
    /// Its name.
    pub name: String,
    /// Its part of the test.
    pub group: Group,
    /// Minutes since the first pull, or its place in the order where times are missing.
    pub time: f64,
    /// The correction; none where it is compared as measured.
    pub correction: Option<Correction>,
    /// Corrected torque at the common speeds.
    pub curve: Curve,
    /// Mean over the band: N m or kW.
    pub mean: f64,
    /// How far it lies off the fit, in percent; none where nothing was fitted.
    pub off_percent: Option<f64>,
    /// That in standard deviations estimated without it.
    pub studentised: Option<f64>,
    /// Chance of lying that far off by scatter, times the number of pulls (Bonferroni); under 0.05 it is an outlier.
    pub outlier_chance: Option<f64>,
}

/// Repeatability of a group.
#[derive(Clone, Debug, PartialEq)]
pub struct GroupRepeat {
    /// Which.
    pub group: Group,
    /// Its pulls.
    pub n: usize,
    /// Their mean: N m or kW.
    pub mean: f64,
    /// Their standard deviation in percent of it; none for one pull.
    pub deviation_percent: Option<f64>,
    /// Highest less lowest in percent of the mean; none for one pull.
    pub spread_percent: Option<f64>,
}

/// How the base's drift was treated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Drift {
    /// Fitted as a straight line in time: percent from the first pull to the last, and its half-width.
    Fitted {
        /// Percent over the whole test.
        percent: f64,
        /// Half-width of its interval; none without pulls to spare.
        half_width_percent: Option<f64>,
    },
    /// The base was not run again, so it is taken not to drift. What the same pulls say with a drift fitted all the same.
    NotSeparable {
        /// Half-width of the difference when the drift is allowed for; none where the pulls cannot say.
        half_width_with_drift_percent: Option<f64>,
        /// Share of the part's column that time alone explains, 0 to 1.
        explained_by_time: f64,
    },
}

/// B against A.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// Percent of A.
    pub percent: f64,
    /// Ends of the interval; none without pulls to spare.
    pub interval_percent: Option<(f64, f64)>,
    /// What was fitted: c of the logarithms.
    pub log_ratio: f64,
    /// Standard error of that.
    pub standard_error: Option<f64>,
    /// Pulls less what was fitted.
    pub degrees_of_freedom: usize,
    /// Chance of such a difference if the part did nothing.
    pub p_value: Option<f64>,
    /// Scatter of one pull about the fit, in percent.
    pub scatter_percent: Option<f64>,
    /// The smallest true difference this test would have shown with the asked chance, in percent.
    pub could_show_percent: Option<f64>,
    /// Of the base.
    pub drift: Drift,
}

impl Difference {
    /// Half of the interval.
    pub fn half_width_percent(&self) -> Option<f64> {
        self.interval_percent.map(|(low, high)| 0.5 * (high - low))
    }

    /// Whether the interval leaves out nothing having changed.
    pub fn is_shown(&self) -> bool {
        self.interval_percent.is_some_and(|(low, high)| low > 0.0 || high < 0.0)
    }
}

/// B against A at one speed. The interval is for that speed alone; over many speeds some will leave out zero by chance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpeedDifference {
    /// The speed.
    pub speed_rpm: f64,
    /// Percent of A.
    pub percent: f64,
    /// Ends of the interval.
    pub interval_percent: Option<(f64, f64)>,
}

/// Why pulls cannot be compared.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the message above each variant says what its fields are")]
pub enum CompareError {
    /// No pull at all.
    #[error("found no pull, expected at least two")]
    None,
    /// A pull without a group.
    #[error("{pull}: found no group, expected A, B or A2; say it when the pull is imported, with --group")]
    NoGroup { pull: String },
    /// Two pulls of one name.
    #[error("{pull}: found twice, expected every pull once")]
    Twice { pull: String },
    /// Readings of the air that are missing.
    #[error("{pull}: {missing}; or compare as measured with --standard none")]
    WeatherMissing { pull: String, missing: WeatherMissing },
    /// Readings of the air that cannot be.
    #[error("{pull}: {wrong}")]
    Weather { pull: String, wrong: WeatherError },
    /// Settings that cannot be applied.
    #[error("{pull}: {wrong}")]
    Processing { pull: String, wrong: ProcessingError },
    /// A band that is none.
    #[error(
        "found a band from {low_rpm:.0} to {high_rpm:.0} rpm in steps of {step_rpm:.0}, expected a lower and a higher speed and a step between them"
    )]
    Band { low_rpm: f64, high_rpm: f64, step_rpm: f64 },
    /// A pull that does not cover the band.
    #[error("{pull}: covers {from_rpm:.0} to {to_rpm:.0} rpm, expected all of {low_rpm:.0} to {high_rpm:.0}")]
    NotCovered { pull: String, from_rpm: f64, to_rpm: f64, low_rpm: f64, high_rpm: f64 },
    /// Pulls without a common range.
    #[error(
        "the pulls have no range of speeds in common: {highest_start} begins at {from_rpm:.0} rpm, {lowest_end} ends at {to_rpm:.0}"
    )]
    NothingCommon { highest_start: String, from_rpm: f64, lowest_end: String, to_rpm: f64 },
    /// A mean without a logarithm.
    #[error("{pull}: found a mean of {mean:.1} over the band, expected one above 0")]
    NotPositive { pull: String, mean: f64 },
}

/// Compares pulls; see the head of this file for the model.
pub fn compare(pulls: &[Pull], options: &CompareOptions) -> Result<Comparison, CompareError> {
    let ordered = in_order(pulls)?;
    let curves = corrected_curves(&ordered, options)?;
    let band_rpm = band(&ordered, options)?;
    let speeds_rpm = common_speeds(band_rpm.0, band_rpm.1, options.step_rpm);
    let (times, by_clock) = times(&ordered);
    let mut compared = Vec::new();
    for ((pull, (curve, correction)), time) in ordered.iter().zip(curves).zip(&times) {
        compared.push(resample(pull, &curve, correction, *time, &speeds_rpm, band_rpm, options)?);
    }
    let groups = groups(&compared);
    let design = Design::of(&compared);
    let logs: Vec<f64> = compared.iter().map(|pull| pull.mean.ln()).collect();
    let fit = design.as_ref().and_then(|design| design.fit(&logs)).or_else(|| repeat_fit(&logs));
    let difference =
        design.as_ref().zip(fit.as_ref()).and_then(|(design, fit)| difference(design, fit, &logs, options));
    if let Some(fit) = &fit {
        mark_outliers(&mut compared, fit);
    }
    let by_speed = match (&design, &difference) {
        (Some(design), Some(_)) => differences_by_speed(design, &compared, &speeds_rpm, options),
        _ => Vec::new(),
    };
    let findings = findings(&ordered, &compared, &groups, difference.as_ref(), by_clock);
    Ok(Comparison {
        standard: options.standard,
        measure: options.measure,
        band_rpm,
        even_weights: options.weights.is_even(),
        confidence: options.confidence,
        chance: options.chance,
        speeds_rpm,
        pulls: compared,
        groups,
        difference,
        by_speed,
        findings,
    })
}

/// The pulls by time; as given where one has no time.
fn in_order(pulls: &[Pull]) -> Result<Vec<&Pull>, CompareError> {
    if pulls.is_empty() {
        return Err(CompareError::None);
    }
    if let Some(pull) = pulls.iter().find(|pull| pull.group.is_none()) {
        return Err(CompareError::NoGroup { pull: pull.name.clone() });
    }
    for (idx, pull) in pulls.iter().enumerate() {
        if pulls[..idx].iter().any(|other| other.name == pull.name) {
            return Err(CompareError::Twice { pull: pull.name.clone() });
        }
    }
    let mut ordered: Vec<&Pull> = pulls.iter().collect();
    if pulls.iter().all(|pull| pull.when.is_some()) {
        ordered.sort_by_key(|pull| pull.when);
    } else {
        // Without times the parts of the test give the order; within one, that in which the pulls were named.
        ordered.sort_by_key(|pull| match pull.group {
            Some(Group::B) => 1,
            Some(Group::A2) => 2,
            _ => 0,
        });
    }
    Ok(ordered)
}

/// Minutes since the first pull where every pull has a time of its own, otherwise the place in the order; and which.
fn times(ordered: &[&Pull]) -> (Vec<f64>, bool) {
    let seconds: Option<Vec<i64>> = ordered.iter().map(|pull| pull.when.map(|when| when.seconds())).collect();
    match seconds {
        Some(seconds) if seconds.windows(2).all(|pair| pair[0] < pair[1]) => {
            let minutes = seconds.iter().map(|at| (at - seconds[0]) as f64 / 60.0);
            (minutes.collect(), true)
        }
        _ => ((0..ordered.len()).map(|idx| idx as f64).collect(), false),
    }
}

fn corrected_curves(
    ordered: &[&Pull],
    options: &CompareOptions,
) -> Result<Vec<(Curve, Option<Correction>)>, CompareError> {
    let one = |pull: &&Pull| {
        let name = || pull.name.clone();
        let curve = pull.curve().map_err(|wrong| CompareError::Processing { pull: name(), wrong })?;
        let Some(standard) = options.standard else { return Ok((curve, None)) };
        let weather = pull
            .weather
            .complete()
            .map_err(|missing| CompareError::WeatherMissing { pull: name(), missing })?;
        let correction = correction(standard, pull.engine, &weather)
            .map_err(|wrong| CompareError::Weather { pull: name(), wrong })?;
        Ok((curve.scaled(correction.factor), Some(correction)))
    };
    ordered.iter().map(one).collect()
}

/// The band asked for, or what all pulls cover, brought in to whole steps.
fn band(ordered: &[&Pull], options: &CompareOptions) -> Result<(f64, f64), CompareError> {
    let step_rpm = options.step_rpm;
    let (low_rpm, high_rpm) = match options.band_rpm {
        Some(band) => band,
        None => {
            let start = ordered.iter().max_by(|a, b| a.rows.span_rpm().0.total_cmp(&b.rows.span_rpm().0));
            let end = ordered.iter().min_by(|a, b| a.rows.span_rpm().1.total_cmp(&b.rows.span_rpm().1));
            let (Some(start), Some(end)) = (start, end) else { return Err(CompareError::None) };
            let (from_rpm, to_rpm) = (start.rows.span_rpm().0, end.rows.span_rpm().1);
            let (low, high) =
                ((from_rpm / step_rpm).ceil() * step_rpm, (to_rpm / step_rpm).floor() * step_rpm);
            if step_rpm > 0.0 && low >= high {
                let (highest_start, lowest_end) = (start.name.clone(), end.name.clone());
                return Err(CompareError::NothingCommon { highest_start, from_rpm, lowest_end, to_rpm });
            }
            (low, high)
        }
    };
    let sound = 0.0 < low_rpm && low_rpm < high_rpm && 1.0 <= step_rpm && step_rpm <= high_rpm - low_rpm;
    if sound && high_rpm.is_finite() {
        Ok((low_rpm, high_rpm))
    } else {
        Err(CompareError::Band { low_rpm, high_rpm, step_rpm })
    }
}

fn resample(
    pull: &Pull,
    curve: &Curve,
    correction: Option<Correction>,
    time: f64,
    speeds_rpm: &[f64],
    band_rpm: (f64, f64),
    options: &CompareOptions,
) -> Result<ComparedPull, CompareError> {
    let (from_rpm, to_rpm) = pull.rows.span_rpm();
    let (low_rpm, high_rpm) = band_rpm;
    let curve = curve.resampled(speeds_rpm, options.step_rpm).ok_or_else(|| CompareError::NotCovered {
        pull: pull.name.clone(),
        from_rpm,
        to_rpm,
        low_rpm,
        high_rpm,
    })?;
    let mean = curve.mean(options.measure, &options.weights);
    if mean.is_nan() || mean <= 0.0 {
        return Err(CompareError::NotPositive { pull: pull.name.clone(), mean });
    }
    Ok(ComparedPull {
        name: pull.name.clone(),
        group: pull.group.ok_or_else(|| CompareError::NoGroup { pull: pull.name.clone() })?,
        time,
        correction,
        curve,
        mean,
        off_percent: None,
        studentised: None,
        outlier_chance: None,
    })
}

fn groups(pulls: &[ComparedPull]) -> Vec<GroupRepeat> {
    let one = |group: Group| {
        let means: Vec<f64> = pulls.iter().filter(|pull| pull.group == group).map(|pull| pull.mean).collect();
        let n = means.len();
        let mean = means.iter().sum::<f64>() / n as f64;
        let variance = means.iter().map(|one| (one - mean).powi(2)).sum::<f64>() / (n as f64 - 1.0);
        let high = means.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let low = means.iter().copied().fold(f64::INFINITY, f64::min);
        (n > 0).then(|| GroupRepeat {
            group,
            n,
            mean,
            deviation_percent: (n > 1).then(|| 100.0 * variance.sqrt() / mean),
            spread_percent: (n > 1).then(|| 100.0 * (high - low) / mean),
        })
    };
    [Group::A, Group::B, Group::A2].into_iter().filter_map(one).collect()
}

/// Columns of the model.
struct Design {
    times: Vec<f64>,
    changed: Vec<f64>,
    with_drift: bool,
}

impl Design {
    /// The model for these pulls; `None` where A or B is missing. Drift is fitted where the base was run before and after the
    /// change (or the change before and after the base).
    fn of(pulls: &[ComparedPull]) -> Option<Self> {
        let changed: Vec<bool> = pulls.iter().map(|pull| pull.group.is_changed()).collect();
        if changed.iter().all(|changed| *changed) || !changed.contains(&true) {
            return None;
        }
        let n_turns = changed.windows(2).filter(|pair| pair[0] != pair[1]).count();
        // Centred, so that the columns are as far from each other as they can be.
        let mean = pulls.iter().map(|pull| pull.time).sum::<f64>() / pulls.len() as f64;
        Some(Self {
            times: pulls.iter().map(|pull| pull.time - mean).collect(),
            changed: changed.iter().map(|changed| f64::from(u8::from(*changed))).collect(),
            with_drift: n_turns >= 2,
        })
    }

    fn fit(&self, readings: &[f64]) -> Option<Fit> {
        self.fit_with(readings, self.with_drift)
    }

    fn fit_with(&self, readings: &[f64], with_drift: bool) -> Option<Fit> {
        let mut columns = vec![vec![1.0; readings.len()], self.changed.clone()];
        if with_drift {
            columns.push(self.times.clone());
        }
        least_squares(&columns, readings)
    }

    /// Share of the part's column that a straight line in time explains.
    fn explained_by_time(&self) -> f64 {
        let n = self.changed.len() as f64;
        let mean = self.changed.iter().sum::<f64>() / n;
        let sum = |a: &mut dyn Iterator<Item = f64>| a.sum::<f64>();
        let sxx = sum(&mut self.times.iter().map(|t| t * t));
        let syy = sum(&mut self.changed.iter().map(|c| (c - mean).powi(2)));
        let sxy = sum(&mut self.times.iter().zip(&self.changed).map(|(t, c)| t * (c - mean)));
        sxy * sxy / (sxx * syy)
    }
}

/// Pulls of one kind alone: their mean.
fn repeat_fit(logs: &[f64]) -> Option<Fit> {
    least_squares(&[vec![1.0; logs.len()]], logs)
}

/// Percent of a difference of logarithms.
fn percent(log: f64) -> f64 {
    100.0 * log.exp_m1()
}

/// Half-width of an interval in standard errors.
fn quantile_of(fit: &Fit, options: &CompareOptions) -> f64 {
    student_quantile(0.5 + 0.5 * options.confidence, fit.degrees_of_freedom)
}

fn interval(fit: &Fit, column: usize, quantile: f64) -> Option<(f64, f64)> {
    let half = quantile * fit.standard_error(column)?;
    let middle = fit.coefficients[column];
    Some((percent(middle - half), percent(middle + half)))
}

fn difference(design: &Design, fit: &Fit, logs: &[f64], options: &CompareOptions) -> Option<Difference> {
    const PART: usize = 1;
    const TIME: usize = 2;
    let log_ratio = *fit.coefficients.get(PART)?;
    let standard_error = fit.standard_error(PART);
    let span = design.times.last().copied().unwrap_or(0.0) - design.times.first().copied().unwrap_or(0.0);
    let half_of = |(low, high): (f64, f64)| 0.5 * (high - low);
    let drift = if design.with_drift {
        let quantile = quantile_of(fit, options);
        Drift::Fitted {
            percent: percent(fit.coefficients[TIME] * span),
            half_width_percent: fit.standard_error(TIME).map(|error| 100.0 * quantile * error * span),
        }
    } else {
        let with_drift = design.fit_with(logs, true);
        Drift::NotSeparable {
            half_width_with_drift_percent: with_drift
                .and_then(|fit| interval(&fit, PART, quantile_of(&fit, options)))
                .map(half_of),
            explained_by_time: design.explained_by_time(),
        }
    };
    let shift = || smallest_shift(fit.degrees_of_freedom, options.confidence, options.chance);
    Some(Difference {
        percent: percent(log_ratio),
        interval_percent: interval(fit, PART, quantile_of(fit, options)),
        log_ratio,
        standard_error,
        degrees_of_freedom: fit.degrees_of_freedom,
        p_value: standard_error.map(|error| two_sided_chance(log_ratio / error, fit.degrees_of_freedom)),
        scatter_percent: fit.variance().map(|variance| 100.0 * variance.sqrt()),
        could_show_percent: standard_error.map(|error| percent(shift() * error)),
        drift,
    })
}

/// Says of each pull how far it lies off, and how likely that is among so many.
fn mark_outliers(pulls: &mut [ComparedPull], fit: &Fit) {
    let n = pulls.len() as f64;
    for ((pull, studentised), rest) in pulls.iter_mut().zip(fit.studentised()).zip(&fit.residuals) {
        pull.off_percent = Some(percent(*rest));
        pull.studentised = studentised;
        pull.outlier_chance =
            studentised.map(|t| (n * two_sided_chance(t, fit.degrees_of_freedom.saturating_sub(1))).min(1.0));
    }
}

fn differences_by_speed(
    design: &Design,
    pulls: &[ComparedPull],
    speeds_rpm: &[f64],
    options: &CompareOptions,
) -> Vec<SpeedDifference> {
    // Every speed has the same pulls and with them the same degrees of freedom.
    let n_fitted = if design.with_drift { 3 } else { 2 };
    let quantile = student_quantile(0.5 + 0.5 * options.confidence, pulls.len().saturating_sub(n_fitted));
    let at = |idx: usize| {
        let logs: Vec<f64> = pulls.iter().map(|pull| pull.curve.torque_nm[idx].ln()).collect();
        let fit = design.fit(&logs).filter(|_| logs.iter().all(|log| log.is_finite()))?;
        Some(SpeedDifference {
            speed_rpm: speeds_rpm[idx],
            percent: percent(fit.coefficients[1]),
            interval_percent: interval(&fit, 1, quantile),
        })
    };
    (0..speeds_rpm.len()).filter_map(at).collect()
}
