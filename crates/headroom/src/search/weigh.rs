//! What is known of a combination before its engine is run: price, metal, compression and fit. Leaves out the gas.

use parts::train::{Lash, LashAt};
use parts::{Build, Cylinder, Duty};
use sheet::plan::{Adjusted, Clear};
use units::{CrankAngle, Length, Quantity, Ratio};
use volume::static_compression;

use super::limit::{Broken, BrokenSet};
use super::question::{Combination, Question};
use super::row::rounded;
use super::setting::{metal_m, set, set_cylinder};
use crate::contact::with_contacts;
use crate::motions::Motions;
use crate::slack::{distinct, margins, margins_at_speed};
use crate::slack_search::{Limited, Margin};

/// The parts of some options with their lobes fitted, so that settings need no fit.
#[derive(Clone, Debug)]
pub struct Fitted {
    build: Build,
    cylinders: Vec<(Cylinder, Motions)>,
}

/// What fit and compression come to.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// Least and greatest static compression.
    pub compression: Option<[f64; 2]>,
    /// The gap nearest to its limit or farthest under it, mm over the limit, and which.
    pub margin: Option<(f64, String)>,
    /// The limits of these that are broken.
    pub broken: BrokenSet,
}

/// Fits the lobes of some parts; first contacts that were measured are taken into account.
pub fn fitted(parts: &Build) -> Fitted {
    let build = with_contacts(parts).0;
    let cylinders = distinct(&build);
    Fitted { build, cylinders }
}

/// Fit and compression of parts with settings.
pub fn weigh(question: &Question, parts: &Fitted, settings_si: &[f64]) -> Weighed {
    let unbuildable = || {
        let mut broken = BrokenSet::default();
        broken.insert(Broken::Unbuildable);
        Weighed { compression: None, margin: None, broken }
    };
    let mut cylinders = parts.cylinders.clone();
    for (cylinder, motions) in &mut cylinders {
        for (adjustment, si) in question.plan.adjustments.iter().zip(settings_si) {
            let moved = moved(cylinder, motions, adjustment.of, *si);
            match (moved, set_cylinder(cylinder, adjustment.of, *si)) {
                (Some(moved), Some(_)) => *motions = moved,
                _ => return unbuildable(),
            }
        }
    }
    let must = &question.plan.must;
    let mut broken = BrokenSet::default();
    let ratios = cylinders.iter().map(|(cylinder, _)| static_compression(cylinder));
    let (least, greatest) = ratios
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), ratio| (low.min(ratio), high.max(ratio)));
    let room = 0.0 < least && greatest.is_finite();
    if !room || must.compression_least.is_some_and(|asked| least < asked.si()) {
        broken.insert(Broken::CompressionLow);
    }
    if !room || must.compression_most.is_some_and(|asked| greatest > asked.si()) {
        broken.insert(Broken::CompressionHigh);
    }
    let mut worst: Option<(f64, String)> = None;
    for margin in cylinders.iter().flat_map(|(cylinder, motions)| all_margins(parts, cylinder, motions)) {
        if breaks(&margin, must.clear, parts) {
            broken.insert(Broken::Fit(margin.of));
        }
        if let Limited::Gap(check) = margin.of {
            let over_mm = rounded(1e3 * margin.over_limit_si);
            if worst.as_ref().is_none_or(|(known, _)| over_mm < *known) {
                let valve = margin.valve.map_or_else(String::new, |valve| format!(" {valve}"));
                worst = Some((over_mm, format!("{}{valve}", check.key())));
            }
        }
    }
    let compression = room.then(|| [rounded(least), rounded(greatest)]);
    Weighed { compression, margin: worst, broken }
}

fn all_margins(parts: &Fitted, cylinder: &Cylinder, motions: &Motions) -> Vec<Margin> {
    let mut all = margins(cylinder, motions, &parts.build.limits);
    all.extend(margins_at_speed(cylinder, motions, &parts.build.used));
    all
}

/// Gaps this little under their limits, in metres, are on them.
const ROUNDING_M: f64 = 1e-9;

fn breaks(margin: &Margin, clear: Clear, parts: &Fitted) -> bool {
    match (clear, margin.of) {
        (Clear::Ignore, _) => false,
        (Clear::Touch, Limited::Gap(check)) => {
            margin.over_limit_si + parts.build.limits.of(check).least.si() <= 0.0
        }
        (Clear::Limits | Clear::Touch, _) => margin.over_limit_si < -ROUNDING_M,
    }
}

/// The motions of a cylinder with something set on its gear; `None` where there is no gear to set it on.
fn moved(cylinder: &Cylinder, motions: &Motions, of: Adjusted, si: f64) -> Option<Motions> {
    let advanced = |motions: Motions, duty: Duty| {
        cylinder.gear.of(duty)?;
        Some(motions.with(duty, |motion| motion.advanced(CrankAngle::from_radians(si))))
    };
    let ratio = |duty: Duty| {
        cylinder.gear.of(duty)?;
        Some(motions.with(duty, |motion| motion.with_ratio(Ratio::from_si(si))))
    };
    let lash = |duty: Duty| {
        let train = &cylinder.gear.of(duty)?.train;
        let Lash::Solid { at, cold, hot } = &train.lash else { return None };
        let arm = if *at == LashAt::Cam { train.ratio.value.si() } else { 1.0 };
        let more = arm * (Length::from_si(si) - hot.unwrap_or(*cold).value);
        Some(motions.with(duty, |motion| motion.with_more_lash(more)))
    };
    match of {
        Adjusted::CamAdvance => {
            advanced(motions.clone(), Duty::Intake).and_then(|motions| advanced(motions, Duty::Exhaust))
        }
        Adjusted::IntakeAdvance => advanced(motions.clone(), Duty::Intake),
        Adjusted::ExhaustAdvance => advanced(motions.clone(), Duty::Exhaust),
        Adjusted::IntakeRatio => ratio(Duty::Intake),
        Adjusted::ExhaustRatio => ratio(Duty::Exhaust),
        Adjusted::IntakeLash => lash(Duty::Intake),
        Adjusted::ExhaustLash => lash(Duty::Exhaust),
        Adjusted::GasketThickness | Adjusted::Skim | Adjusted::Deck => Some(motions.clone()),
    }
}

/// What a combination costs, how much metal comes off for it in mm, and which limits of these two it breaks.
pub fn cost(question: &Question, parts: &Build, combination: &Combination) -> (u64, f64, BrokenSet) {
    let plan = &question.plan;
    let chosen =
        || plan.choices.iter().zip(&combination.options).map(|(choice, option)| &choice.options[*option]);
    let mut price: u64 = chosen().map(|option| u64::from(option.price)).sum();
    let mut metal = chosen().map(|option| option.removes.si()).sum::<f64>();
    let mut set_up = parts.clone();
    set_up.cylinders.truncate(1);
    for (adjustment, si) in plan.adjustments.iter().zip(&combination.settings_si) {
        if set(&mut set_up, adjustment.of, *si).unwrap_or(false) {
            price += u64::from(adjustment.price);
        }
        metal += metal_m(adjustment.of, *si);
    }
    let mut broken = BrokenSet::default();
    if plan.must.budget.is_some_and(|budget| u64::from(budget) < price) {
        broken.insert(Broken::Budget);
    }
    let metal_mm = rounded(1e3 * metal);
    let too_much = plan.must.metal_most.is_some_and(|most| rounded(1e3 * most.si()) < metal_mm);
    if too_much || (metal_mm > 0.0 && !plan.must.cutting_allowed) {
        broken.insert(Broken::Metal);
    }
    (price, metal_mm, broken)
}
