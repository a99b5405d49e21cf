//! When each cylinder fires: the order, and the crank angles from one to the next.

use units::CrankAngle;

/// The firing sequence of the engine.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Firing {
    /// Cylinder numbers in the order they fire, each once; the first fires at crank angle 0.
    pub order: Option<Vec<usize>>,
    /// Crank angle from each of them to the next, the last back to the first; 720 degrees together. Without them the
    /// engine fires evenly.
    pub intervals: Option<Vec<CrankAngle>>,
}

impl Firing {
    /// Crank degrees at which each cylinder fires, by its number; `None` where the order is not known or does not name
    /// every one of `n_cylinders` once.
    pub fn fires_at_deg(&self, n_cylinders: usize) -> Option<Vec<f64>> {
        let order = self.order.as_ref()?;
        let mut at = vec![f64::NAN; n_cylinders];
        let mut angle = 0.0;
        for (place, number) in order.iter().enumerate() {
            *at.get_mut(number.checked_sub(1)?)? = angle;
            angle += match &self.intervals {
                Some(intervals) => intervals.get(place)?.degrees(),
                None => 720.0 / n_cylinders as f64,
            };
        }
        at.iter().all(|angle| angle.is_finite()).then_some(at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_even_and_uneven_intervals() {
        let even = Firing { order: Some(vec![1, 3, 4, 2]), intervals: None };
        assert_eq!(even.fires_at_deg(4), Some(vec![0.0, 540.0, 180.0, 360.0]));
        // A V-twin of 50 degrees on one crank pin.
        let intervals = Some([310.0, 410.0].map(CrankAngle::from_degrees).to_vec());
        let twin = Firing { order: Some(vec![1, 2]), intervals };
        let at = twin.fires_at_deg(2).unwrap_or_default();
        assert!(at[0].abs() < 1e-12 && (at[1] - 310.0).abs() < 1e-9, "{at:?}");
        // A cylinder that is not named.
        assert_eq!(even.fires_at_deg(5), None);
    }
}
