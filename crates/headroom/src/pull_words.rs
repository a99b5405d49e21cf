//! A predicted pull in words and rows.

use cycle::multipliers::Multipliers;
use cycle::speed_point::{Outcome, SpeedPoint};
use pulls::Humidity;
use units::{Power, Quantity, Torque, UnitSystem, show, show_decimals};

use crate::lift_words::tens;
use crate::pull::{PullAnswer, USUAL_ERROR, USUAL_ERROR_CALIBRATED};
use crate::pulls_words;

/// The answer in a few sentences, the first with the peaks.
pub fn verdict(answer: &PullAnswer, system: UnitSystem) -> Vec<String> {
    let (Some(torque), Some(power), Some(mean)) =
        (answer.peak_torque(), answer.peak_power(), answer.mean_torque_n_m())
    else {
        return vec!["No speed of this pull could be computed: every march broke off.".to_owned()];
    };
    let factor = answer.factor();
    let (first, last) = (answer.sound().next(), answer.sound().last());
    let range =
        first.zip(last).map_or(String::new(), |(a, b)| format!(" from {:.0} to {:.0} rpm", a.rpm, b.rpm));
    let mut sentences = vec![
        format!(
            "Peak torque {} at {} rpm, peak power {} at {} rpm; {} on {}average{range}{}.",
            torque_text(factor * torque.torque_n_m, system),
            tens(torque.rpm),
            power_text(factor * power.power_w, system),
            tens(power.rpm),
            torque_text(factor * mean, system),
            if answer.weights.is_even() { "" } else { "weighted " },
            answer
                .correction
                .as_ref()
                .map_or(String::new(), |c| format!(", corrected to {}", c.standard.name())),
        ),
        basis(answer.calibration.as_ref()),
        air(answer, system),
    ];
    let knocking = answer.sound().filter(|p| p.cylinders.iter().any(|c| c.knock_limited)).count();
    if knocking > 0 {
        sentences
            .push(format!("Knock holds the spark back at {knocking} of {} speeds.", answer.points.len()));
    }
    let pinging = answer.sound().filter(|p| p.cylinders.iter().any(|c| c.knock > 1.0)).count();
    if pinging > 0 {
        sentences.push(format!(
            "It would knock at {pinging} of {} speeds with the spark it is given: less advance, less compression or more octane.",
            answer.points.len()
        ));
    }
    let choked = answer.sound().find(|p| p.mach_index > MOST_MACH_INDEX);
    if let Some(point) = choked {
        sentences.push(format!(
            "From about {} rpm on the intake valves choke filling (Mach index {:.2}).",
            tens(point.rpm),
            point.mach_index
        ));
    }
    let open = answer.points.iter().filter(|p| p.outcome != Outcome::Converged).count();
    if open > 0 {
        sentences.push(format!("{open} of {} speeds did not converge and are marked.", answer.points.len()));
    }
    sentences
}

/// How far the prediction is to be believed, and what was corrected in it.
fn basis(calibration: Option<&Multipliers>) -> String {
    match calibration {
        None => format!(
            "Predicted from the sheet without a measured pull: usually {:.0} to {:.0} % off in power, less in a comparison of two \
             builds.",
            100.0 * USUAL_ERROR[0],
            100.0 * USUAL_ERROR[1]
        ),
        Some(by) => format!(
            "Predicted with the model calibrated on measured pulls ({}): a change is then usually predicted to {:.0} to {:.0} %.",
            multipliers(by),
            100.0 * USUAL_ERROR_CALIBRATED[0],
            100.0 * USUAL_ERROR_CALIBRATED[1]
        ),
    }
}

/// `flow × 0.97, friction × 1.12`; what stands at 1 is left out.
pub fn multipliers(by: &Multipliers) -> String {
    let each = [("flow", by.flow), ("friction", by.friction), ("burn", by.burn), ("heat loss", by.heat_loss)];
    let moved: Vec<String> = each
        .into_iter()
        .filter(|(_, factor)| *factor != 1.0)
        .map(|(name, factor)| format!("{name} \u{d7} {factor:.2}"))
        .collect();
    if moved.is_empty() { "all factors 1".to_owned() } else { moved.join(", ") }
}

/// Mean inlet Mach index from which filling falls off. C. F. Taylor (1985), vol. 1, ch. 6, from memory.
const MOST_MACH_INDEX: f64 = 0.6;

fn torque_text(n_m: f64, system: UnitSystem) -> String {
    show_decimals(Torque::from_si(n_m), system, 0)
}

fn power_text(w: f64, system: UnitSystem) -> String {
    let decimals = match system {
        UnitSystem::Metric => 1,
        UnitSystem::Inch => 0,
    };
    show_decimals(Power::from_si(w), system, decimals)
}

/// The air it was run in.
pub fn weather(answer: &PullAnswer, system: UnitSystem) -> String {
    let air = &answer.air;
    let humidity = match air.humidity {
        Humidity::Relative(share) => format!("{:.0} % humidity", 100.0 * share.value),
        Humidity::DewPoint(t) => format!("dew point {}", show(t, system)),
        Humidity::WetBulb(t) => format!("wet bulb {}", show(t, system)),
    };
    format!("{}, {}, {humidity}", show(air.station().pressure(), system), show(air.inlet, system))
}

/// The same with what a standard makes of it.
fn air(answer: &PullAnswer, system: UnitSystem) -> String {
    let weather = weather(answer, system);
    let Some(correction) = &answer.correction else {
        return format!("Run in air of {weather}; not corrected: a brake's sheet may be.");
    };
    let marks = pulls_words::marks(correction, system);
    format!(
        "Run in air of {weather}; torque and power times {:.3} is {}{}{marks}.",
        correction.factor,
        correction.standard.name(),
        if marks.is_empty() { "" } else { ", not to be claimed: " },
    )
}

/// Headings, then a row a speed: what it gives and where that comes from.
pub fn rows(answer: &PullAnswer, system: UnitSystem) -> Vec<Vec<String>> {
    let (torque, power) = (system.unit::<Torque>(), system.unit::<Power>());
    let head = [
        "rpm",
        torque.symbol,
        power.symbol,
        "filling %",
        "bmep bar",
        "gross imep",
        "pmep",
        "fmep",
        "g/kWh",
        "",
    ];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(answer.points.iter().map(|point| row(point, answer.factor(), system)));
    rows
}

/// Columns of [`rows`] that are numbers.
pub const N_NUMBERS: usize = 9;

fn row(point: &SpeedPoint, factor: f64, system: UnitSystem) -> Vec<String> {
    if let Outcome::Broke(why) = &point.outcome {
        return dashes(point, N_NUMBERS, format!("broke off: {why}"));
    }
    let torque = system.unit::<Torque>().from_si(factor * point.torque_n_m);
    let power = system.unit::<Power>().from_si(factor * point.power_w);
    let consumption =
        point.fuel_per_work_kg_per_j.map_or("-".to_owned(), |fuel| format!("{:.0}", 3.6e9 * fuel));
    let knocks = point.cylinders.iter().any(|c| c.knock > 1.0);
    let remark = match (&point.outcome, point.cylinders.iter().any(|c| c.knock_limited), knocks) {
        (Outcome::NotConverged, _, _) => format!("not converged, about {:.1} % off", 100.0 * point.error),
        (_, true, _) => "knock-limited".to_owned(),
        (_, _, true) => "knocks".to_owned(),
        _ => String::new(),
    };
    vec![
        tens(point.rpm),
        format!("{torque:.1}"),
        format!("{power:.1}"),
        format!("{:.0}", 100.0 * point.volumetric_efficiency),
        format!("{:.1}", point.brake_mep_pa() / 1e5),
        format!("{:.1}", point.gross_mep_pa / 1e5),
        format!("{:.2}", point.pumping_mep_pa / 1e5),
        format!("{:.2}", point.friction_mep_pa / 1e5),
        consumption,
        remark,
    ]
}

/// A row of a speed of which nothing is known.
fn dashes(point: &SpeedPoint, n_numbers: usize, last: String) -> Vec<String> {
    let mut row = vec![tens(point.rpm)];
    row.extend((1..n_numbers).map(|_| "-".to_owned()));
    row.push(last);
    row
}

/// Headings, then a row a speed: cylinders and gas. Pressures and temperatures are means over the cylinders, the knock
/// margin and the port speed those of the worst.
pub fn gas_rows(answer: &PullAnswer) -> Vec<Vec<String>> {
    let head = [
        "rpm",
        "peak bar",
        "at deg",
        "spark deg",
        "held back",
        "knock margin %",
        "residual %",
        "exhaust C",
        "Mach index",
        "port m/s",
        "",
    ];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(answer.points.iter().map(gas_row));
    rows
}

/// Columns of [`gas_rows`] that are numbers.
pub const N_GAS_NUMBERS: usize = 10;

fn gas_row(point: &SpeedPoint) -> Vec<String> {
    if matches!(point.outcome, Outcome::Broke(_)) {
        return dashes(point, N_GAS_NUMBERS, String::new());
    }
    let n = point.cylinders.len().max(1) as f64;
    let mean = |of: &dyn Fn(&cycle::speed_point::CylinderPoint) -> f64| {
        point.cylinders.iter().map(of).sum::<f64>() / n
    };
    vec![
        tens(point.rpm),
        format!("{:.0}", mean(&|c| c.peak_pa) / 1e5),
        format!("{:.0}", mean(&|c| c.peak_deg)),
        format!("{:.0}", mean(&|c| c.spark_deg)),
        format!("{:.0}", mean(&|c| c.retard_deg).abs()),
        format!("{:.0}", 100.0 * point.knock_margin()),
        format!("{:.1}", 100.0 * mean(&|c| c.residual)),
        format!("{:.0}", point.exhaust_k - 273.15),
        format!("{:.2}", point.mach_index),
        format!("{:.0}", point.port_m_per_s),
        String::new(),
    ]
}

/// Headings, then a row a speed: what the accounts of the last cycle lack and how well it repeats.
pub fn account_rows(answer: &PullAnswer) -> Vec<Vec<String>> {
    let head = ["rpm", "mass gap", "energy gap", "estimated error %", "cycles", "steps", ""];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(answer.points.iter().map(|point| {
        let outcome = match &point.outcome {
            Outcome::Converged => "settled",
            Outcome::NotConverged => "not settled",
            Outcome::Broke(_) => "broke off",
        };
        vec![
            tens(point.rpm),
            format!("{:.1e}", point.mass_gap),
            format!("{:.1e}", point.energy_gap),
            format!("{:.3}", 100.0 * point.error),
            point.cycles.to_string(),
            point.steps.to_string(),
            outcome.to_owned(),
        ]
    }));
    rows
}
