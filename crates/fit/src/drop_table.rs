//! Valve to piston from measured drops instead of a drawn crown: how far a seated valve could be pushed open
//! until it met the piston, at a few crank angles. Leaves out where on the crown it met.

use motion::SliderCrank;
use thiserror::Error;
use units::CrankAngle;
use units::angle::degree;

use crate::distance::{Minimum, least_in};
use crate::lift_law::{CYCLE_DEG, LiftLaw};

/// One measured drop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drop {
    /// Crank degrees from the top of the overlap, negative before it.
    pub from_top_deg: f64,
    /// From seat to contact along the valve, in metres.
    pub drop_m: f64,
}

/// A table that says nothing.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum DropTableError {
    /// One drop gives no course.
    #[error("{n_rows} drops are too few, at least 2 are needed")]
    TooFew {
        /// How many there are.
        n_rows: usize,
    },
    /// Two drops at one angle.
    #[error("two drops at {deg} degrees from the top")]
    Twice {
        /// The angle.
        deg: f64,
    },
    /// No number, or not within half a turn of the top.
    #[error("drop of {drop_mm} mm at {deg} degrees from the top cannot be")]
    Impossible {
        /// The angle.
        deg: f64,
        /// The drop.
        drop_mm: f64,
    },
}

/// Drops of one valve at several angles near the top of the overlap, for one engine and any cam.
#[derive(Clone, Debug, PartialEq)]
pub struct DropTable {
    crank: SliderCrank,
    /// In the order of the angles.
    rows: Vec<Drop>,
}

/// A gap found in a drop table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DropGap {
    /// Along the valve, in metres.
    pub gap_m: f64,
    /// Crank angle in the cycle, in degrees.
    pub crank_deg: f64,
    /// Lift there, in metres.
    pub lift_m: f64,
    /// Whether the angle lies beyond the measured ones, where the table is only carried on.
    pub beyond_table: bool,
}

/// Where the top of the overlap stands in the cycle.
const OVERLAP_TOP_DEG: f64 = 360.0;

/// Angles are resolved to this.
const ANGLE_ACCURACY_DEG: f64 = 1e-3;

impl DropTable {
    /// From rows in any order.
    pub fn new(crank: SliderCrank, mut rows: Vec<Drop>) -> Result<Self, DropTableError> {
        if rows.len() < 2 {
            return Err(DropTableError::TooFew { n_rows: rows.len() });
        }
        for row in &rows {
            if !(row.from_top_deg.abs() <= 180.0 && row.drop_m.is_finite()) {
                return Err(DropTableError::Impossible { deg: row.from_top_deg, drop_mm: row.drop_m * 1e3 });
            }
        }
        rows.sort_by(|a, b| a.from_top_deg.total_cmp(&b.from_top_deg));
        if let Some(pair) = rows.windows(2).find(|pair| pair[0].from_top_deg == pair[1].from_top_deg) {
            return Err(DropTableError::Twice { deg: pair[0].from_top_deg });
        }
        Ok(Self { crank, rows })
    }

    /// Drop to the piston at an angle, in metres.
    ///
    /// Between two rows it runs straight against how far the piston stands below its top, not against the
    /// angle: over any plane part of a crown, upright or tilted, the drop is the piston's travel times a
    /// constant, plus another, so two rows give it exactly. A pair of rows with the piston equally high, one
    /// on each side of the top, is joined through the top by the crank's own law from the nearest row. Beyond
    /// the outermost rows the line through the last two on that side of the top goes on.
    pub fn drop_m(&self, from_top_deg: f64) -> f64 {
        let n = self.rows.len();
        let right = self.rows.partition_point(|row| row.from_top_deg <= from_top_deg).clamp(1, n - 1);
        let (a, b) = (self.rows[right - 1], self.rows[right]);
        let (xa, xb) = (self.below_top_m(a.from_top_deg), self.below_top_m(b.from_top_deg));
        let x = self.below_top_m(from_top_deg);
        let across_top = a.from_top_deg < 0.0 && 0.0 < b.from_top_deg;
        if across_top || (xa - xb).abs() < LEVEL_M {
            // Both rows told apart by the piston's travel alone: each is carried to the top with the course
            // of its side.
            let share = ((from_top_deg - a.from_top_deg) / (b.from_top_deg - a.from_top_deg)).clamp(0.0, 1.0);
            let course = |x_row: f64, row: Drop| row.drop_m + self.course(from_top_deg) * (x - x_row);
            return course(xa, a) * (1.0 - share) + course(xb, b) * share;
        }
        a.drop_m + (b.drop_m - a.drop_m) / (xb - xa) * (x - xa)
    }

    /// Drop gained for each unit the piston goes down, on the side of an angle where two rows tell it, else
    /// on the other, else one to one.
    fn course(&self, from_top_deg: f64) -> f64 {
        let side = |after: bool| {
            let on_side = |row: &&Drop| if after { row.from_top_deg >= 0.0 } else { row.from_top_deg <= 0.0 };
            let mut rows: Vec<&Drop> = self.rows.iter().filter(on_side).collect();
            rows.sort_by(|a, b| a.from_top_deg.abs().total_cmp(&b.from_top_deg.abs()));
            let [a, b] = [*rows.first()?, *rows.get(1)?];
            let run = self.below_top_m(b.from_top_deg) - self.below_top_m(a.from_top_deg);
            (run.abs() > LEVEL_M).then(|| (b.drop_m - a.drop_m) / run)
        };
        let after = from_top_deg >= 0.0;
        side(after).or_else(|| side(!after)).unwrap_or(1.0)
    }

    fn below_top_m(&self, from_top_deg: f64) -> f64 {
        self.crank.drop(CrankAngle::from_degrees(from_top_deg)).value
    }

    /// Gap along the valve at a crank angle of the cycle: drop less lift, in metres.
    ///
    /// The trade's two-step method: clearance is the seated valve's drop less lobe lift times ratio; the
    /// drops serve any later cam.
    pub fn gap_m(&self, lift: &impl LiftLaw, crank_deg: f64) -> f64 {
        self.drop_m(crank_deg - OVERLAP_TOP_DEG) - lift.lift_m(crank_deg)
    }

    /// The least gap within 90 degrees of the overlap's top, and where.
    pub fn least(&self, lift: &impl LiftLaw) -> DropGap {
        const REACH_DEG: i32 = 90;
        let gap = |deg: f64| self.gap_m(lift, deg);
        let looks: Vec<Minimum> = (-REACH_DEG..=REACH_DEG)
            .map(|deg| OVERLAP_TOP_DEG + f64::from(deg))
            .map(|at| Minimum { at, value: gap(at) })
            .collect();
        let lowest = looks
            .iter()
            .copied()
            .min_by(|a, b| a.value.total_cmp(&b.value))
            .expect("the range of angles is not empty");
        let found = least_in(gap, [lowest.at - 1.0, lowest.at + 1.0], lowest, ANGLE_ACCURACY_DEG);
        let from_top = found.at - OVERLAP_TOP_DEG;
        let ends = [self.rows[0].from_top_deg, self.rows[self.rows.len() - 1].from_top_deg];
        DropGap {
            gap_m: found.value,
            crank_deg: found.at.rem_euclid(CYCLE_DEG),
            lift_m: lift.lift_m(found.at),
            beyond_table: from_top < ends[0] || ends[1] < from_top,
        }
    }

    /// The angles it was measured at.
    pub fn angles(&self) -> impl Iterator<Item = CrankAngle> {
        self.rows.iter().map(|row| CrankAngle(units::Angle::new::<degree>(row.from_top_deg)))
    }
}

/// Pistons that stand level to this count as equally high, in metres.
const LEVEL_M: f64 = 1e-7;

#[cfg(test)]
mod tests {
    use super::*;
    use units::Length;
    use units::length::millimeter;

    fn crank() -> SliderCrank {
        let mm = |value| Length::new::<millimeter>(value);
        SliderCrank::new(mm(88.4), mm(144.8), mm(0.5)).expect("a crank that turns")
    }

    /// Drops of a valve over a floor that takes `share` of the piston's travel.
    fn table(share: f64, degs: &[f64]) -> DropTable {
        let drop_m = |deg: f64| 0.004 + share * crank().drop(CrankAngle::from_degrees(deg)).value;
        let rows = degs.iter().map(|&deg| Drop { from_top_deg: deg, drop_m: drop_m(deg) }).collect();
        DropTable::new(crank(), rows).expect("a table")
    }

    #[test]
    fn exact_over_a_plane_with_few_rows() {
        for degs in [&[-15.0, -10.0, -5.0, 0.0, 5.0, 10.0, 15.0][..], &[-15.0, -8.0, 8.0, 15.0], &[5.0, 15.0]]
        {
            for share in [0.94, 1.0, 1.06] {
                let found = table(share, degs);
                for deg in [-40.0, -12.0, -3.0, 0.0, 2.0, 7.0, 11.0, 30.0] {
                    let exact = 0.004 + share * crank().drop(CrankAngle::from_degrees(deg)).value;
                    assert!((found.drop_m(deg) - exact).abs() < 1e-9, "{share} at {deg}");
                }
            }
        }
    }

    /// A made-up lift that closes through the top.
    struct Closing;

    impl LiftLaw for Closing {
        fn lift_m(&self, crank_deg: f64) -> f64 {
            1.5e-6 * (395.0 - crank_deg).max(0.0).powi(2)
        }

        fn nose_deg(&self) -> f64 {
            250.0
        }
    }

    #[test]
    fn exact_least_is_where_drop_and_lift_move_alike() {
        let degs = [-15.0, -10.0, -5.0, 0.0, 5.0, 10.0, 15.0];
        let found = table(1.0, &degs).least(&Closing);
        let speed = crank().drop_per_degree(CrankAngle::from_degrees(found.crank_deg)).value;
        let lift_speed = -2.0 * 1.5e-6 * (395.0 - found.crank_deg);
        assert!((speed - lift_speed).abs() < 1e-6, "{found:?}: {speed} {lift_speed}");
        assert!(!found.beyond_table);
        assert!(table(1.0, &[0.0, 10.0]).least(&Closing).beyond_table);
    }

    #[test]
    fn exact_refusals() {
        let row = |deg: f64, drop_m: f64| Drop { from_top_deg: deg, drop_m };
        assert!(DropTable::new(crank(), vec![row(0.0, 0.004)]).is_err());
        assert!(DropTable::new(crank(), vec![row(5.0, 0.004), row(5.0, 0.005)]).is_err());
        assert!(DropTable::new(crank(), vec![row(5.0, f64::NAN), row(6.0, 0.005)]).is_err());
    }
}
