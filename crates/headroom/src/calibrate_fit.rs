//! Which factors on a model make its torque what a brake measured, how surely, and whether the measured torque can tell.
//!
//! The model is asked through a function, so that it may be a marched engine or a formula with a known answer. Leaves out
//! where the measured torque comes from, and words.

use cycle::multipliers::Multipliers;
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Owned, SymmetricEigen};
use thiserror::Error;

use crate::calibrate_prior::Multiplier;

/// Measured torque over speed, and how well it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Observed {
    /// Torque, N m, one for each speed the model is asked for.
    pub torque_nm: Vec<f64>,
    /// Standard deviation of each by itself, N m: scatter of readings, and what the model gets wrong of a curve's shape.
    pub sd_nm: Vec<f64>,
    /// Standard deviation of what all share, relative: the brake's scale and whole pulls that come out high or low.
    pub scale_sd: f64,
}

/// A factor that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Which.
    pub multiplier: Multiplier,
    /// Its most likely value.
    pub factor: f64,
    /// Standard deviation, what was known beforehand and the pulls together.
    pub sd: f64,
    /// How much of that the pulls say: 1 less the variance over that before; 0 where they say nothing.
    pub told_by_pulls: f64,
}

/// What the fit says.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// One for each factor that was fitted.
    pub estimates: Vec<Estimate>,
    /// What the brake reads over the model, relative, and its standard deviation.
    pub scale: (f64, f64),
    /// The model's torque before, N m.
    pub before_nm: Vec<f64>,
    /// The model's torque after, N m, at the crankshaft: without the brake's scale.
    pub after_nm: Vec<f64>,
    /// Standard deviation of that, N m, from the factors alone.
    pub after_sd_nm: Vec<f64>,
    /// Weighted squares over the number of speeds; about 1 where the deviations were stated rightly.
    pub chi2_per_speed: f64,
    /// What the intervals were widened by because of it; never under 1.
    pub widened_by: f64,
    /// Least knowledge the pulls add, over what is known beforehand, along any mixture of the factors.
    pub least_information: f64,
    /// Sweeps of the model it took.
    pub n_sweeps: usize,
}

impl Fit {
    /// All four factors.
    pub fn multipliers(&self) -> Multipliers {
        let mut all = Multipliers::default();
        for estimate in &self.estimates {
            estimate.multiplier.put(&mut all, estimate.factor);
        }
        all
    }
}

/// Why there is no fit.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum FitError<E> {
    /// The model cannot be run.
    #[error("{0}")]
    Model(E),
    /// The measured torque says too little about one factor.
    #[error(
        "the pulls cannot tell {word}: they know it {known:.2} times as well as is known beforehand, expected at least {LEAST_INFORMATION:.0}; \
         hold it at 1 and fit the others, or bring pulls over a wider range of speeds",
        word = .which.word(), known = .information.sqrt()
    )]
    Untold {
        /// Which.
        which: Multiplier,
        /// Variance before over variance by the pulls alone.
        information: f64,
    },
    /// The measured torque cannot tell two factors apart.
    #[error(
        "the pulls cannot tell {one} from {other}: both change the curve in nearly the same way (correlation {correlation:.2}), and the \
         mixture of them that leaves it alone is known {known:.2} times as well as beforehand, expected at least {LEAST_INFORMATION:.0}; \
         fit one of the two and hold the other, or bring pulls over a wider range of speeds",
        one = .pair[0].word(), other = .pair[1].word(), known = .information.sqrt()
    )]
    Confounded {
        /// The two.
        pair: [Multiplier; 2],
        /// Of their errors by the pulls alone.
        correlation: f64,
        /// Variance before over variance by the pulls alone, along the worst mixture.
        information: f64,
    },
    /// Fewer speeds than factors.
    #[error("{n_speeds} speeds for {n_factors} factors, expected more speeds than factors")]
    TooFewSpeeds {
        /// Speeds.
        n_speeds: usize,
        /// Factors.
        n_factors: usize,
    },
    /// The steps did not end.
    #[error(
        "the fit did not settle: a step of {step:.2} standard deviations is left after {n_sweeps} sweeps, expected under {SETTLED}"
    )]
    NotSettled {
        /// In standard deviations of what was known beforehand.
        step: f64,
        /// Sweeps of the model.
        n_sweeps: usize,
    },
}

/// Least variance before over variance by the pulls alone, along any mixture of the factors: at 1 the pulls know it as well
/// as it was known beforehand. Under it the answer would be the guess handed back. Our choice, no source.
pub const LEAST_INFORMATION: f64 = 1.0;
/// Step left, in standard deviations of what was known beforehand, under which a fit has settled. Our choice.
pub const SETTLED: f64 = 0.05;
/// Step of the difference quotients, in the same. Large against what a march is off by, small against the curvature.
const DIFFERENCE: f64 = 0.5;
/// Distance from where the slopes were taken beyond which they are taken anew, in the same.
const SLOPES_HOLD: f64 = 0.75;
/// The same for the slopes that the intervals are made of.
const SLOPES_OLD: f64 = 0.25;
/// Times the steps are taken up again with new slopes.
const MOST_ROUNDS: usize = 4;
/// The second part of a mixture counts when it is at least this share of the first.
const A_PAIR: f64 = 0.25;

/// Fits the factors named to measured torque.
///
/// Least squares with what is known beforehand as further residuals: sum ((m(x) (1 + s) - y)/sd)^2 + sum ((x - 1)/sd_x)^2 +
/// (s/sd_s)^2, s the brake's scale. Minimised by `levenberg-marquardt` (MINPACK's lmder; J. J. More (1978), Lecture Notes in
/// Mathematics 630:105). Intervals from the curvature at the end, (J'J)^-1, with the deviations of the speeds widened by sqrt(chi2/n)
/// where the residuals are larger than stated (the scale factor of the Particle Data Group's reviews, from memory). Holds where the model is nearly
/// straight over the intervals. Refused where the pulls alone, the scale allowed for, know some mixture of the factors less
/// well than it was known beforehand: least eigenvalue of S F S under [`LEAST_INFORMATION`], F their Fisher information and S
/// the deviations beforehand.
pub fn fit<E>(
    predict: &mut dyn FnMut(&Multipliers) -> Result<Vec<f64>, E>,
    fitted: &[Multiplier],
    observed: &Observed,
) -> Result<Fit, FitError<E>> {
    let (n_speeds, n_factors) = (observed.torque_nm.len(), fitted.len());
    if n_speeds <= n_factors {
        return Err(FitError::TooFewSpeeds { n_speeds, n_factors });
    }
    let mut problem = Problem::new(predict, fitted, observed)?;
    let before_nm = problem.torque_nm.clone();
    told_apart(&problem)?;
    for _ in 0..MOST_ROUNDS {
        let steps = LevenbergMarquardt::new().with_ftol(1e-5).with_xtol(1e-3).with_patience(6);
        (problem, _) = steps.minimize(problem);
        if problem.off_slopes() > SLOPES_OLD {
            problem.take_slopes();
        }
        if let Some(broke) = problem.broke.take() {
            return Err(FitError::Model(broke));
        }
        if problem.step_left().is_some_and(|left| left < SETTLED) {
            break;
        }
    }
    let least_information = told_apart(&problem)?;
    finished(&problem, before_nm, least_information)
}

/// The problem as the library asks for it. Unknowns are whitened: (factor - 1) over its deviation beforehand, then the
/// brake's scale over its own.
struct Problem<'a, E> {
    predict: &'a mut dyn FnMut(&Multipliers) -> Result<Vec<f64>, E>,
    fitted: &'a [Multiplier],
    observed: &'a Observed,
    x: DVector<f64>,
    torque_nm: Vec<f64>,
    /// N m a deviation, one column a factor, and where they were taken.
    slopes_nm: DMatrix<f64>,
    slopes_at: DVector<f64>,
    broke: Option<E>,
    n_sweeps: usize,
    /// What the model has said already.
    known: Vec<(DVector<f64>, Vec<f64>)>,
}

impl<'a, E> Problem<'a, E> {
    fn new(
        predict: &'a mut dyn FnMut(&Multipliers) -> Result<Vec<f64>, E>,
        fitted: &'a [Multiplier],
        observed: &'a Observed,
    ) -> Result<Self, FitError<E>> {
        let (n_speeds, n_factors) = (observed.torque_nm.len(), fitted.len());
        let mut problem = Self {
            predict,
            fitted,
            observed,
            x: DVector::zeros(n_factors + 1),
            torque_nm: Vec::new(),
            slopes_nm: DMatrix::zeros(n_speeds, n_factors),
            slopes_at: DVector::zeros(n_factors + 1),
            broke: None,
            n_sweeps: 0,
            known: Vec::new(),
        };
        problem.torque_nm = problem.torque(&DVector::zeros(n_factors + 1)).unwrap_or_default();
        problem.take_slopes();
        problem.broke.take().map_or(Ok(problem), |broke| Err(FitError::Model(broke)))
    }

    /// The model's torque at some unknowns; `None` once it has broken.
    fn torque(&mut self, x: &DVector<f64>) -> Option<Vec<f64>> {
        if self.broke.is_some() {
            return None;
        }
        let factors = x.rows(0, self.fitted.len()).into_owned();
        if let Some((_, torque_nm)) = self.known.iter().find(|(at, _)| *at == factors) {
            return Some(torque_nm.clone());
        }
        let mut all = Multipliers::default();
        for (one, x) in self.fitted.iter().zip(x.iter()) {
            one.put(&mut all, (1.0 + one.prior_sd() * x).max(LEAST_FACTOR));
        }
        self.n_sweeps += 1;
        match (self.predict)(&all) {
            Ok(torque_nm) => {
                self.known.push((factors, torque_nm.clone()));
                Some(torque_nm)
            }
            Err(broke) => {
                self.broke = Some(broke);
                None
            }
        }
    }

    /// Slopes where the unknowns stand, by central differences.
    fn take_slopes(&mut self) {
        for j in 0..self.fitted.len() {
            let [mut up, mut down] = [self.x.clone(), self.x.clone()];
            up[j] += DIFFERENCE;
            down[j] -= DIFFERENCE;
            let (Some(up), Some(down)) = (self.torque(&up), self.torque(&down)) else { return };
            for (i, (up, down)) in up.iter().zip(&down).enumerate() {
                self.slopes_nm[(i, j)] = (up - down) / (2.0 * DIFFERENCE);
            }
        }
        self.slopes_at = self.x.clone();
    }

    /// How far the unknowns have gone from where the slopes were taken.
    fn off_slopes(&self) -> f64 {
        (&self.x - &self.slopes_at).rows(0, self.fitted.len()).amax()
    }

    /// Spread of the unknowns: the inverse of the curvature.
    fn spread(&self) -> Option<DMatrix<f64>> {
        let slopes = self.all_slopes();
        (slopes.transpose() * &slopes).try_inverse()
    }

    /// The same with the deviations of the speeds taken as `by` times as large; what is known beforehand stays.
    fn spread_widened(&self, by: f64) -> Option<DMatrix<f64>> {
        let slopes = self.slopes() / by;
        let n = self.x.len();
        (slopes.transpose() * &slopes + DMatrix::identity(n, n)).try_inverse()
    }

    /// The largest part of the Gauss-Newton step that is left.
    fn step_left(&self) -> Option<f64> {
        self.spread().map(|spread| (spread * self.all_slopes().transpose() * self.all_misses()).amax())
    }

    /// 1 + s.
    fn scale(&self) -> f64 {
        1.0 + self.observed.scale_sd * self.x[self.fitted.len()]
    }

    /// Derivatives of the residuals of the speeds alone.
    fn slopes(&self) -> DMatrix<f64> {
        let n = self.fitted.len();
        DMatrix::from_fn(self.torque_nm.len(), n + 1, |i, j| {
            let of_torque = if j < n {
                self.scale() * self.slopes_nm[(i, j)]
            } else {
                self.observed.scale_sd * self.torque_nm[i]
            };
            of_torque / self.observed.sd_nm[i]
        })
    }

    /// Residuals of the speeds alone.
    fn misses(&self) -> DVector<f64> {
        let each = self.torque_nm.iter().zip(&self.observed.torque_nm).zip(&self.observed.sd_nm);
        DVector::from_iterator(
            self.torque_nm.len(),
            each.map(|((model, measured), sd)| (self.scale() * model - measured) / sd),
        )
    }

    fn all_slopes(&self) -> DMatrix<f64> {
        let (n_speeds, n) = (self.torque_nm.len(), self.x.len());
        let mut all = DMatrix::zeros(n_speeds + n, n);
        all.rows_mut(0, n_speeds).copy_from(&self.slopes());
        all.rows_mut(n_speeds, n).fill_with_identity();
        all
    }

    fn all_misses(&self) -> DVector<f64> {
        let mut all = DVector::zeros(self.torque_nm.len() + self.x.len());
        all.rows_mut(0, self.torque_nm.len()).copy_from(&self.misses());
        all.rows_mut(self.torque_nm.len(), self.x.len()).copy_from(&self.x);
        all
    }
}

/// No factor is tried below this: an engine without valves or friction is no engine.
const LEAST_FACTOR: f64 = 0.2;

impl<E> LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_, E> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, x: &DVector<f64>) {
        let moved = self.x.rows(0, self.fitted.len()) != x.rows(0, self.fitted.len());
        self.x.copy_from(x);
        if !moved {
            return;
        }
        if let Some(torque_nm) = self.torque(x) {
            self.torque_nm = torque_nm;
        }
        if self.off_slopes() > SLOPES_HOLD {
            self.take_slopes();
        }
    }

    fn params(&self) -> DVector<f64> {
        self.x.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        self.broke.is_none().then(|| self.all_misses())
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        self.broke.is_none().then(|| self.all_slopes())
    }
}

/// Least information along any mixture of the factors, or which of them the pulls cannot tell.
fn told_apart<E>(problem: &Problem<'_, E>) -> Result<f64, FitError<E>> {
    let n = problem.fitted.len();
    let slopes = problem.slopes();
    let (of_factors, of_scale) = (slopes.columns(0, n), slopes.column(n));
    // The scale is known beforehand to one of its deviations, and by the pulls: what it can hide is taken off.
    let along = of_factors.transpose() * of_scale;
    let information =
        of_factors.transpose() * of_factors - &along * along.transpose() / (1.0 + of_scale.norm_squared());
    let spread = information.clone().try_inverse();
    let eigen = SymmetricEigen::new(information);
    let worst = eigen.eigenvalues.imin();
    let least = eigen.eigenvalues[worst].max(0.0);
    if least >= LEAST_INFORMATION {
        return Ok(least);
    }
    let mixture = eigen.eigenvectors.column(worst).abs();
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|a, b| mixture[*b].total_cmp(&mixture[*a]));
    match order[..] {
        [first, second, ..] if mixture[second] >= A_PAIR * mixture[first] => {
            let correlation =
                spread.map_or(1.0, |s| s[(first, second)] / (s[(first, first)] * s[(second, second)]).sqrt());
            let mut pair = [problem.fitted[first], problem.fitted[second]];
            pair.sort();
            Err(FitError::Confounded { pair, correlation, information: least })
        }
        [first, ..] => Err(FitError::Untold { which: problem.fitted[first], information: least }),
        [] => Ok(f64::INFINITY),
    }
}

/// Values, intervals and curves where the steps have ended.
fn finished<E>(
    problem: &Problem<'_, E>,
    before_nm: Vec<f64>,
    least_information: f64,
) -> Result<Fit, FitError<E>> {
    let n = problem.fitted.len();
    let not_settled = |step| FitError::NotSettled { step, n_sweeps: problem.n_sweeps };
    let left = problem.step_left().unwrap_or(f64::INFINITY);
    if left >= SETTLED {
        return Err(not_settled(left));
    }
    let chi2_per_speed = problem.all_misses().norm_squared() / problem.torque_nm.len() as f64;
    let widened_by = chi2_per_speed.sqrt().max(1.0);
    let spread = problem.spread_widened(widened_by).ok_or(not_settled(f64::INFINITY))?;
    let estimates = problem.fitted.iter().enumerate().map(|(j, &multiplier)| Estimate {
        multiplier,
        factor: 1.0 + multiplier.prior_sd() * problem.x[j],
        sd: multiplier.prior_sd() * spread[(j, j)].sqrt(),
        told_by_pulls: 1.0 - spread[(j, j)],
    });
    let of_factors = spread.view((0, 0), (n, n));
    let after_sd_nm = problem.slopes_nm.row_iter().map(|row| {
        let variance = (row * of_factors * row.transpose())[(0, 0)];
        variance.max(0.0).sqrt()
    });
    Ok(Fit {
        estimates: estimates.collect(),
        scale: (problem.scale() - 1.0, problem.observed.scale_sd * spread[(n, n)].sqrt()),
        before_nm,
        after_nm: problem.torque_nm.clone(),
        after_sd_nm: after_sd_nm.collect(),
        chi2_per_speed,
        widened_by,
        least_information,
        n_sweeps: problem.n_sweeps,
    })
}
