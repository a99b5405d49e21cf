//! The firing order that is taken when none is given.

use units::CrankAngle;

use super::{Choice, EngineSize, rule};
use crate::running::Firing;

/// Fills in order and intervals.
pub(super) fn fill(firing: &mut Firing, size: &EngineSize, choices: &mut Vec<Choice>) {
    if size.n_cylinders > 1 && firing.intervals.is_none() {
        let apart = 720.0 / size.n_cylinders as f64;
        let path = "engine.firing_intervals";
        let taken = format!("even, {apart:.0} degrees");
        choices.push(Choice { path, taken, rule: rule(path).unwrap_or_default() });
        firing.intervals = Some(vec![CrankAngle::from_degrees(apart); size.n_cylinders]);
    }
    if firing.order.is_none() {
        let order = usual_order(size.n_cylinders, size.banks);
        if size.n_cylinders > 1 {
            let taken = order.iter().map(usize::to_string).collect::<Vec<_>>().join("-");
            let path = "engine.firing_order";
            choices.push(Choice { path, taken, rule: rule(path).unwrap_or_default() });
        }
        firing.order = Some(order);
    }
}

/// The usual order of that many cylinders, numbered along one row after the other. Rows take turns where there are two
/// of them (common practice, no source).
pub fn usual_order(n_cylinders: usize, banks: usize) -> Vec<usize> {
    let in_line = |n: usize| -> Vec<usize> {
        match n {
            3 => vec![1, 3, 2],
            4 => vec![1, 3, 4, 2],
            5 => vec![1, 2, 4, 5, 3],
            6 => vec![1, 5, 3, 6, 2, 4],
            8 => vec![1, 6, 2, 5, 8, 3, 7, 4],
            n => (1..=n).collect(),
        }
    };
    if banks != 2 || n_cylinders % 2 == 1 {
        return in_line(n_cylinders);
    }
    let row = n_cylinders / 2;
    match row {
        // A cross-plane V8.
        4 => vec![1, 5, 4, 2, 6, 3, 7, 8],
        // Two in-line engines on one crank, half a row's interval apart.
        row => in_line(row).into_iter().flat_map(|number| [number, number + row]).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_every_order_names_every_cylinder_once() {
        for n in 1..=16 {
            for banks in 1..=3 {
                let mut order = usual_order(n, banks);
                order.sort_unstable();
                assert_eq!(order, (1..=n).collect::<Vec<_>>());
            }
        }
    }
}
