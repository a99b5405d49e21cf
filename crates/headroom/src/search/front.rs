//! Which combinations no other beats in everything that counts: the Pareto front.

use sheet::plan::Objective;

use super::row::Row;

/// How good a row is at something: more is better. `None` where it was not run.
pub fn merit(row: &Row, objective: Objective) -> Option<f64> {
    let gives = row.gives.as_ref()?;
    Some(match objective {
        Objective::TorqueBelow => gives.torque_below_n_m,
        Objective::PowerAbove => gives.power_above_kw,
        Objective::Cost => -(row.price as f64),
        Objective::MetalRemoved => -row.metal_mm,
    })
}

/// The rows that keep all limits and are beaten by none: as good as another in everything and better in something. Of
/// rows that are equal in everything the first is kept. In the order of the rows.
pub fn front<'r>(rows: &'r [Row], objectives: &[Objective]) -> Vec<&'r Row> {
    near_front(rows, objectives, 0.0)
}

/// The same with those that would not be beaten if their torque and power were by a part `margin` more than computed:
/// what a coarse computation leaves to look at more closely.
pub fn near_front<'r>(rows: &'r [Row], objectives: &[Objective], margin: f64) -> Vec<&'r Row> {
    let mut merits: Vec<(usize, Vec<f64>)> = Vec::new();
    for (at, row) in rows.iter().enumerate().filter(|(_, row)| row.keeps_all()) {
        let of_row: Option<Vec<f64>> = objectives.iter().map(|objective| merit(row, *objective)).collect();
        merits.extend(of_row.map(|merits| (at, merits)));
    }
    // Best first by the first objective, so that most of the beaten are met early by one that beats them.
    let mut by_merit: Vec<usize> = (0..merits.len()).collect();
    by_merit.sort_by(|a, b| {
        let order = merits[*b].1.iter().zip(&merits[*a].1).map(|(b, a)| b.total_cmp(a));
        order.fold(std::cmp::Ordering::Equal, |so_far, next| so_far.then(next)).then(a.cmp(b))
    });
    let mut front: Vec<usize> = Vec::new();
    for at in by_merit {
        if !front.iter().any(|known| beats(&merits[*known].1, &merits[at].1)) {
            front.push(at);
        }
    }
    let mut kept: Vec<usize> = if margin == 0.0 {
        front.iter().map(|at| merits[*at].0).collect()
    } else {
        let raised = |merits: &[f64]| -> Vec<f64> {
            let raise = |(objective, merit): (&Objective, &f64)| match objective {
                Objective::TorqueBelow | Objective::PowerAbove => merit + margin * merit.abs(),
                Objective::Cost | Objective::MetalRemoved => *merit,
            };
            objectives.iter().zip(merits).map(raise).collect()
        };
        let near = |of_row: &(usize, Vec<f64>)| {
            let raised = raised(&of_row.1);
            !front.iter().any(|known| merits[*known].0 != of_row.0 && beats(&merits[*known].1, &raised))
        };
        merits.iter().filter(|of_row| near(of_row)).map(|of_row| of_row.0).collect()
    };
    kept.sort_unstable();
    kept.into_iter().map(|at| &rows[at]).collect()
}

/// At least as good in everything. Of equals the first in order counts as beating the others.
fn beats(one: &[f64], other: &[f64]) -> bool {
    one.iter().zip(other).all(|(one, other)| one >= other)
}

#[cfg(test)]
mod tests {
    use super::super::limit::BrokenSet;
    use super::super::row::Gives;
    use super::*;
    use proptest::prelude::*;

    fn row(index: u64, torque: f64, power: f64, price: u64) -> Row {
        let gives = Gives {
            torque_below_n_m: torque,
            power_above_kw: power,
            peak_torque_n_m: torque,
            peak_power_kw: power,
            knock: 0.5,
            retard_deg: 0.0,
            n_unsettled: 0,
        };
        Row {
            index,
            price,
            metal_mm: 0.0,
            compression: Some([10.0, 10.0]),
            margin_mm: Some(0.1),
            margin_of: String::new(),
            broken: BrokenSet::default(),
            gives: Some(gives),
        }
    }

    #[test]
    fn exact_front_of_a_few() {
        let rows = [
            row(0, 100.0, 50.0, 0),
            row(1, 101.0, 49.0, 10),
            row(2, 100.0, 49.9, 10),
            row(3, 100.0, 50.0, 0),
        ];
        let indices = |rows: Vec<&Row>| rows.into_iter().map(|row| row.index).collect::<Vec<_>>();
        assert_eq!(indices(front(&rows, &Objective::ALL)), [0, 1]);
        assert_eq!(indices(near_front(&rows, &Objective::ALL, 0.01)), [0, 1, 2, 3]);
        assert_eq!(indices(front(&rows, &[Objective::PowerAbove])), [0]);
    }

    proptest! {
        /// Against the definition, by looking at every pair.
        #[test]
        fn exact_front_is_what_nothing_beats(cells in proptest::collection::vec((0_u8..6, 0_u8..6, 0_u8..4), 1..60)) {
            let rows: Vec<Row> = cells.iter().enumerate()
                .map(|(at, (torque, power, price))| row(at as u64, f64::from(*torque), f64::from(*power), u64::from(*price)))
                .collect();
            let key = |row: &Row| Objective::ALL.map(|objective| merit(row, objective).unwrap_or(f64::NAN));
            let beaten = |row: &&Row| rows.iter().any(|other| {
                let (mine, theirs) = (key(row), key(other));
                let all = theirs.iter().zip(&mine).all(|(b, a)| b >= a);
                all && (theirs != mine || other.index < row.index)
            });
            let expected: Vec<u64> = rows.iter().filter(|row| !beaten(row)).map(|row| row.index).collect();
            let found: Vec<u64> = front(&rows, &Objective::ALL).into_iter().map(|row| row.index).collect();
            prop_assert_eq!(found, expected);
        }
    }
}
