//! A payoff as JSON: torque in newton metres, power in kilowatts, speeds in revolutions a minute, gains and chances as shares of
//! one, each with its unit in its name.

use cycle::speed_point::{Outcome, SpeedPoint};
use serde::Serialize;
use units::UnitSystem;

use crate::payoff::{Means, PayoffAnswer};
use crate::payoff_curves::{curve_doubt, gain_at};
use crate::payoff_demand::MOST_MACH_INDEX;
use crate::payoff_words::Worth;
use crate::relief::Outcome as CutOutcome;

/// [`PayoffAnswer`].
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PayoffWire {
    /// `better`, `perhaps better`, `no matter`, `perhaps worse`, `worse` or `unknown`.
    worth: &'static str,
    verdict: Vec<String>,
    fidelity: &'static str,
    band_from_rpm: f64,
    band_to_rpm: f64,
    weighted: bool,
    /// Relative gain in mean torque over the band.
    gain: f64,
    /// 95 % half-width of it: readings, model and grid together, then each by itself.
    gain_half_width: f64,
    gain_half_width_readings: f64,
    gain_half_width_model: f64,
    gain_half_width_grid: f64,
    power_gain: f64,
    repeatability: f64,
    chance_better: f64,
    chance_shows_better: f64,
    chance_shows_worse: f64,
    base: PayoffPulledWire,
    candidate: PayoffPulledWire,
    /// The gain at every speed that neither engine broke at.
    by_speed: Vec<PayoffGainWire>,
    outside: Vec<PayoffOutsideWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cut: Option<PayoffCutWire>,
    /// From base to candidate; they add up to the difference of the mean torques.
    shares: Vec<PayoffShareWire>,
    /// The gain with the spark set anew for each engine; null where the sheets give no timing.
    gain_resparked: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    demand: Option<PayoffDemandWire>,
    /// What each uncertain reading does to the gain, largest first.
    doubts: Vec<PayoffDoubtWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    sampled: Option<PayoffSampledWire>,
    next: Vec<PayoffNextWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PayoffPulledWire {
    /// Means over the band.
    mean_torque_n_m: f64,
    mean_power_kw: f64,
    /// Below, in and above the band, in rising speed.
    points: Vec<PayoffPointWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PayoffPointWire {
    rpm: f64,
    /// Null where the march broke off.
    torque_n_m: Option<f64>,
    /// One standard deviation from the readings alone; what the model gets wrong alike in both engines is not in it.
    torque_sd_n_m: f64,
    power_kw: Option<f64>,
    mach_index: f64,
    spark_deg: Option<f64>,
    /// Largest induction-time integral of the cylinders; 1 is knock.
    knock_integral: Option<f64>,
    knock_limited: bool,
    converged: bool,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PayoffGainWire {
    rpm: f64,
    /// Relative gain in torque.
    gain: f64,
    /// One standard deviation: readings at this speed, model and grid as over the band.
    gain_sd: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PayoffOutsideWire {
    above: bool,
    from_rpm: f64,
    to_rpm: f64,
    base_torque_n_m: f64,
    candidate_torque_n_m: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PayoffCutWire {
    /// Whether everything clears once it is cut, and what is known of the rest survives.
    survives: bool,
    /// Whether anything was cut for the figures.
    made: bool,
    because: String,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PayoffShareWire {
    name: String,
    changes: Vec<&'static str>,
    torque_n_m: f64,
    /// Over the base's mean torque.
    gain: f64,
    power_kw: f64,
    /// From sampled orders; 0 where every mixture was worked out.
    standard_error: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PayoffDemandWire {
    at_rpm: f64,
    mach_index: f64,
    /// The index from which filling falls off quickly; passed at `limit_rpm`.
    mach_limit: f64,
    /// Of what the head has; more than 1 where it has too little.
    flow_needed: f64,
    limit_rpm: f64,
    limit_reckoned: bool,
    with_flow: Vec<PayoffWithFlowWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PayoffWithFlowWire {
    /// Of what the head has.
    flow: f64,
    /// Relative change in mean torque over the band.
    gain: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PayoffDoubtWire {
    path: String,
    basis: &'static str,
    /// Empty for all.
    cylinders: Vec<usize>,
    in_base: bool,
    in_candidate: bool,
    /// Change of the gain when the reading grows by one standard deviation.
    on_gain: f64,
    /// Of the variance that the readings make together.
    share: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PayoffSampledWire {
    pairs: usize,
    failed: usize,
    clear: usize,
    clear_and_better: usize,
    gains: Vec<f64>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PayoffNextWire {
    path: String,
    /// `base`, `candidate` or `both`.
    of: &'static str,
    basis: &'static str,
    procedure: String,
    now: String,
    then: String,
    chance_turns_fit: f64,
    chance_turns_payoff: f64,
    share_of_payoff: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    gap: Option<String>,
    gap_share: f64,
    gain_half_width_then: f64,
}

impl PayoffWire {
    /// With the sentences of the answer; what is worded here is in `system`.
    pub fn new(answer: &PayoffAnswer, verdict: Vec<String>, system: UnitSystem) -> Self {
        let chances = &answer.chances;
        let pulled = |of: usize| PayoffPulledWire {
            mean_torque_n_m: answer.means[of].torque_n_m,
            mean_power_kw: answer.means[of].power_w / 1e3,
            points: answer.points[of]
                .iter()
                .map(|one| point(one, curve_doubt(&answer.curves, one.rpm).torque_sd_n_m[of]))
                .collect(),
        };
        Self {
            worth: Worth::of(answer).word(),
            verdict,
            fidelity: answer.fidelity.name(),
            band_from_rpm: answer.band_rpm[0],
            band_to_rpm: answer.band_rpm[1],
            weighted: answer.weighted,
            gain: answer.gain,
            gain_half_width: chances.half_width,
            gain_half_width_readings: chances.from_readings,
            gain_half_width_model: chances.from_model,
            gain_half_width_grid: chances.from_grid,
            power_gain: answer.power_gain,
            repeatability: chances.repeatability,
            chance_better: chances.better,
            chance_shows_better: chances.shows_better,
            chance_shows_worse: chances.shows_worse,
            base: pulled(0),
            candidate: pulled(1),
            by_speed: by_speed(answer),
            outside: answer.outside.iter().map(outside).collect(),
            cut: answer.cut.as_ref().map(|cut| PayoffCutWire {
                survives: cut.outcome != CutOutcome::DoesNot,
                made: cut.made,
                because: cut.because.clone(),
            }),
            shares: shares(answer),
            gain_resparked: answer.respark,
            demand: answer.demand.as_ref().map(|demand| PayoffDemandWire {
                at_rpm: demand.at_rpm,
                mach_index: demand.mach_index,
                mach_limit: MOST_MACH_INDEX,
                flow_needed: demand.flow_needed,
                limit_rpm: demand.limit_rpm,
                limit_reckoned: demand.reckoned,
                with_flow: demand
                    .with_flow
                    .iter()
                    .map(|&(flow, gain)| PayoffWithFlowWire { flow, gain })
                    .collect(),
            }),
            doubts: doubts(answer),
            sampled: answer.sampled.as_ref().map(|sampled| PayoffSampledWire {
                pairs: sampled.gains.len(),
                failed: sampled.failed,
                clear: sampled.clear,
                clear_and_better: sampled.clear_and_better,
                gains: sampled.gains.clone(),
            }),
            next: nexts(answer, system),
        }
    }
}

fn point(point: &SpeedPoint, torque_sd_n_m: f64) -> PayoffPointWire {
    let told = |value: f64| (!matches!(point.outcome, Outcome::Broke(_))).then_some(value);
    let n = point.cylinders.len().max(1) as f64;
    let spark = point.cylinders.iter().map(|c| c.spark_deg).sum::<f64>() / n;
    let knock = point.cylinders.iter().map(|c| c.knock).fold(0.0, f64::max);
    PayoffPointWire {
        rpm: point.rpm,
        torque_n_m: told(point.torque_n_m),
        torque_sd_n_m,
        power_kw: told(point.power_w / 1e3),
        mach_index: point.mach_index,
        spark_deg: told(spark),
        knock_integral: told(knock),
        knock_limited: point.cylinders.iter().any(|c| c.knock_limited),
        converged: point.outcome == Outcome::Converged,
    }
}

fn by_speed(answer: &PayoffAnswer) -> Vec<PayoffGainWire> {
    let [base, candidate] = &answer.points;
    let broke = |point: &SpeedPoint| matches!(point.outcome, Outcome::Broke(_));
    let both = base.iter().zip(candidate).filter(|(base, candidate)| !broke(base) && !broke(candidate));
    both.map(|(base, candidate)| {
        let (gain, gain_sd) = gain_at(answer, base.rpm, [base.torque_n_m, candidate.torque_n_m]);
        PayoffGainWire { rpm: base.rpm, gain, gain_sd }
    })
    .collect()
}

fn outside(outside: &crate::payoff::Outside) -> PayoffOutsideWire {
    let [base, candidate]: [Means; 2] = outside.means;
    PayoffOutsideWire {
        above: outside.above,
        from_rpm: outside.rpm[0],
        to_rpm: outside.rpm[1],
        base_torque_n_m: base.torque_n_m,
        candidate_torque_n_m: candidate.torque_n_m,
    }
}

fn shares(answer: &PayoffAnswer) -> Vec<PayoffShareWire> {
    let wire = |share: &crate::payoff::Share| PayoffShareWire {
        name: share.group.name.clone(),
        changes: share.group.changes.iter().map(|change| change.key()).collect(),
        torque_n_m: share.torque_n_m,
        gain: share.gain,
        power_kw: share.power_w / 1e3,
        standard_error: share.standard_error,
    };
    answer.shares.iter().map(wire).collect()
}

fn doubts(answer: &PayoffAnswer) -> Vec<PayoffDoubtWire> {
    let wire = |doubt: &crate::payoff_doubt::Doubt| PayoffDoubtWire {
        path: doubt.reading.path.clone(),
        basis: doubt.reading.basis.word(),
        cylinders: doubt.reading.cylinders.clone(),
        in_base: doubt.reading.in_base,
        in_candidate: doubt.reading.in_candidate,
        on_gain: doubt.on_gain,
        share: doubt.share,
    };
    answer.doubts.iter().map(wire).collect()
}

fn nexts(answer: &PayoffAnswer, system: UnitSystem) -> Vec<PayoffNextWire> {
    let wire = |next: &crate::payoff_next::Next| PayoffNextWire {
        path: next.path.clone(),
        of: next.of,
        basis: next.basis.word(),
        procedure: next.procedure.clone(),
        now: next.now(system),
        then: next.then(system),
        chance_turns_fit: next.turns_fit,
        chance_turns_payoff: next.turns_payoff,
        share_of_payoff: next.share_of_payoff,
        gap: next.gap.as_ref().map(|gap| gap.0.clone()),
        gap_share: next.gap.as_ref().map_or(0.0, |gap| gap.1),
        gain_half_width_then: next.half_width_then,
    };
    answer.next.iter().map(wire).collect()
}
