//! Fitted lobes that many builds share, so that a thousand variants of one engine fit each lobe once.

use motion::{LobeFit, TrainState, ValveMotion, fit_lobe};
use parts::cam::Lobe;
use parts::train::Train;
use parts::{Duty, ValveGear};
use units::{CrankAngle, Reading};

use super::FromBuildError;

/// Lobes fitted so far. A fit takes about a millisecond, everything else about a model a tenth of one; another rocker
/// ratio, lash or advance needs no new fit.
#[derive(Clone, Debug, Default)]
pub struct LobeFits {
    known: Vec<Known>,
}

#[derive(Clone, Debug)]
struct Known {
    duty: Duty,
    /// As it was fitted: without its installed advance, unless it was led through pins.
    lobe: Lobe,
    /// Lifts pinned on the assembled engine tie the fit to the train they were measured through.
    train: Option<Train>,
    fit: LobeFit,
}

impl LobeFits {
    /// The motion of a valve as it runs: hot lash, or a hydraulic element that closes every gap.
    pub(super) fn motion(&mut self, duty: Duty, gear: &ValveGear) -> Result<ValveMotion, FromBuildError> {
        let pinned = !gear.lobe.pins.is_empty();
        let mut lobe = gear.lobe.clone();
        let mut advance = CrankAngle::from_degrees(0.0);
        if !pinned {
            let none = CrankAngle::from_degrees(0.0);
            advance = lobe.timing.installed_advance.value;
            lobe.timing.installed_advance = Reading { value: none, ..lobe.timing.installed_advance };
        }
        let train = pinned.then(|| gear.train.clone());
        let fit = self.fit(duty, lobe, train, &gear.train)?;
        let motion = ValveMotion::new(fit, &gear.train, TrainState::Hot)
            .map_err(|source| FromBuildError::Train { duty, source })?;
        Ok(motion.advanced(advance))
    }

    fn fit(
        &mut self,
        duty: Duty,
        lobe: Lobe,
        train: Option<Train>,
        through: &Train,
    ) -> Result<&LobeFit, FromBuildError> {
        let same = |known: &Known| known.duty == duty && known.lobe == lobe && known.train == train;
        let at = match self.known.iter().position(same) {
            Some(at) => at,
            None => {
                let fit =
                    fit_lobe(duty, &lobe, through).map_err(|source| FromBuildError::Lobe { duty, source })?;
                self.known.push(Known { duty, lobe, train, fit });
                self.known.len() - 1
            }
        };
        Ok(&self.known[at].fit)
    }

    /// Number of lobes fitted so far.
    pub fn len(&self) -> usize {
        self.known.len()
    }

    /// Whether none was fitted yet.
    pub fn is_empty(&self) -> bool {
        self.known.is_empty()
    }
}
