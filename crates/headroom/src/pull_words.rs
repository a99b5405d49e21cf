//! A predicted pull in words and rows.

use cycle::multipliers::Multipliers;
use cycle::speed_point::{Outcome, SpeedPoint};
use units::{Power, Quantity, Torque, UnitSystem, show_decimals};

use crate::lift_words::tens;
use crate::pull::{PullAnswer, USUAL_ERROR, USUAL_ERROR_CALIBRATED};

/// The answer in a few sentences, the first with the peaks.
pub fn verdict(answer: &PullAnswer, system: UnitSystem) -> Vec<String> {
    let (Some(torque), Some(power), Some(mean)) =
        (answer.peak_torque(), answer.peak_power(), answer.mean_torque_n_m())
    else {
        return vec!["No speed of this pull could be computed: every march broke off.".to_owned()];
    };
    let (first, last) = (answer.sound().next(), answer.sound().last());
    let range =
        first.zip(last).map_or(String::new(), |(a, b)| format!(" from {:.0} to {:.0} rpm", a.rpm, b.rpm));
    let mut sentences = vec![
        format!(
            "Peak torque {} at {} rpm, peak power {} at {} rpm; {} on average{range}.",
            torque_text(torque.torque_n_m, system),
            tens(torque.rpm),
            power_text(power.power_w, system),
            tens(power.rpm),
            torque_text(mean, system),
        ),
        basis(answer.calibration.as_ref()),
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

/// Headings, then a row a speed.
pub fn rows(answer: &PullAnswer, system: UnitSystem) -> Vec<Vec<String>> {
    let (torque, power) = (system.unit::<Torque>(), system.unit::<Power>());
    let head = [
        "rpm",
        torque.symbol,
        power.symbol,
        "filling %",
        "bmep bar",
        "peak bar",
        "spark deg",
        "residual %",
        "g/kWh",
        "exhaust C",
        "Mach",
        "",
    ];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(answer.points.iter().map(|point| row(point, system)));
    rows
}

fn row(point: &SpeedPoint, system: UnitSystem) -> Vec<String> {
    if let Outcome::Broke(why) = &point.outcome {
        let mut row = vec![tens(point.rpm)];
        row.extend((0..10).map(|_| "-".to_owned()));
        row.push(format!("broke off: {why}"));
        return row;
    }
    let torque = system.unit::<Torque>().from_si(point.torque_n_m);
    let power = system.unit::<Power>().from_si(point.power_w);
    let n = point.cylinders.len().max(1) as f64;
    let mean = |of: &dyn Fn(&cycle::speed_point::CylinderPoint) -> f64| {
        point.cylinders.iter().map(of).sum::<f64>() / n
    };
    let bmep = point.gross_mep_pa + point.pumping_mep_pa - point.friction_mep_pa;
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
        format!("{:.1}", bmep / 1e5),
        format!("{:.0}", mean(&|c| c.peak_pa) / 1e5),
        format!("{:.0}", mean(&|c| c.spark_deg)),
        format!("{:.1}", 100.0 * mean(&|c| c.residual)),
        consumption,
        format!("{:.0}", point.exhaust_k - 273.15),
        format!("{:.2}", point.mach_index),
        remark,
    ]
}
