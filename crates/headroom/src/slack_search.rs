//! How far something can be turned up before the first limit stops it, and which the second would be. Leaves
//! out what is turned up.

use parts::Duty;
use parts::limit::Check;

/// What has a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limited {
    /// A gap.
    Gap(Check),
    /// The speed at which the train of a duty comes apart, over the highest speed used.
    TrainHeld(Duty),
    /// What running leaves between crown and head: they may not touch.
    QuenchAtSpeed,
}

impl Limited {
    /// Its word in an answer to a program.
    pub fn key(self) -> &'static str {
        match self {
            Self::Gap(check) => check.key(),
            Self::TrainHeld(_) => "train_held",
            Self::QuenchAtSpeed => "quench_at_speed",
        }
    }
}

/// What is left of something over its limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Margin {
    /// Of what.
    pub of: Limited,
    /// Of which valve, when it is of one.
    pub valve: Option<String>,
    /// How far it is over its limit, in metres or radians a second; negative under the limit.
    pub over_limit_si: f64,
}

/// A limit that stops an adjustment.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// Which.
    pub of: Limited,
    /// Of which valve, when it is of one.
    pub valve: Option<String>,
    /// How far the adjustment has then gone, in SI.
    pub at_si: f64,
}

impl Stop {
    fn is_of(&self, margin: &Margin) -> bool {
        self.of == margin.of && self.valve == margin.valve
    }
}

/// What an adjustment meets on its way.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// The first limit; `None` when it can go all the way that was looked at.
    pub first: Option<Stop>,
    /// The limit of another gap that would stop it next.
    pub second: Option<Stop>,
    /// Gaps that are under their limits before anything is changed; they stop nothing.
    pub short_already: Vec<(Limited, Option<String>)>,
}

/// Shares of the way at which margins are looked at first. A margin that falls under its limit and comes back
/// between two of them is found only when it lies before the first stop.
const N_LOOKS: u32 = 8;

/// Halvings after which a stop is known to a ten-thousandth of a look's step or better.
const MAX_STEPS: u32 = 40;

/// Follows the margins from nothing to `most_si` of an adjustment. `margins` gives them for any share of it,
/// `None` where the adjusted engine cannot be; that ends the way. Stops are known to `accuracy_si`, always on
/// the free side.
///
/// Bracketing by looks, then the ends of the bracket drawn together by false position with halved weights and
/// by halving in turn, because a margin may jump: a valve that begins to dip into its pocket has a sideways
/// gap all at once.
pub fn follow(most_si: f64, accuracy_si: f64, margins: impl Fn(f64) -> Option<Vec<Margin>>) -> Way {
    let Some(now) = margins(0.0) else {
        return Way { first: None, second: None, short_already: Vec::new() };
    };
    let short = |margin: &&Margin| margin.over_limit_si < 0.0;
    let short_already: Vec<(Limited, Option<String>)> =
        now.iter().filter(short).map(|margin| (margin.of, margin.valve.clone())).collect();
    let counts = |margin: &Margin| !short_already.contains(&(margin.of, margin.valve.clone()));
    let mut stops: Vec<Stop> = Vec::new();
    let mut from = 0.0;
    for look in 1..=N_LOOKS {
        let to = most_si * f64::from(look) / f64::from(N_LOOKS);
        let Some(there) = margins(to) else { break };
        for margin in there.iter().filter(|margin| short(margin) && counts(margin)) {
            if !stops.iter().any(|stop| stop.is_of(margin)) {
                stops.push(cross(margin, from, to, accuracy_si, &margins));
            }
        }
        if stops.len() >= 2 {
            break;
        }
        from = to;
    }
    stops.sort_by(|a, b| a.at_si.total_cmp(&b.at_si));
    // Something may have been under its limit and out again before the first stop.
    while let Some(first) = stops.first() {
        let before = first.at_si - 2.0 * accuracy_si;
        let hidden = (before > 0.0)
            .then(|| margins(before))
            .flatten()
            .and_then(|there| there.into_iter().find(|margin| margin.over_limit_si < 0.0 && counts(margin)));
        let Some(hidden) = hidden else { break };
        stops.retain(|stop| !stop.is_of(&hidden));
        stops.insert(0, cross(&hidden, 0.0, before, accuracy_si, &margins));
    }
    let mut stops = stops.into_iter();
    Way { first: stops.next(), second: stops.next(), short_already }
}

/// The last free place of a margin between a free one and one where it is under its limit.
fn cross(
    of: &Margin,
    free: f64,
    stopped: f64,
    accuracy_si: f64,
    margins: &impl Fn(f64) -> Option<Vec<Margin>>,
) -> Stop {
    let value = |at: f64| {
        let there = margins(at).unwrap_or_default();
        let same = there.iter().find(|other| other.of == of.of && other.valve == of.valve);
        // A gap that is not there, such as sideways in a pocket not yet reached, stops nothing.
        same.map_or(f64::INFINITY, |margin| margin.over_limit_si)
    };
    let (mut low, mut high) = (free, stopped);
    let (mut at_low, mut at_high) = (value(low), of.over_limit_si);
    for step in 0..MAX_STEPS {
        if high - low <= accuracy_si {
            break;
        }
        let straight = low + (high - low) * at_low / (at_low - at_high);
        let middle = if step % 3 == 2 || !straight.is_finite() {
            0.5 * (low + high)
        } else {
            // Never onto an end: each step then narrows the bracket from the side that counts.
            straight.clamp(low + 0.4 * accuracy_si, high - 0.4 * accuracy_si)
        };
        let here = value(middle);
        if here < 0.0 {
            (high, at_high) = (middle, here);
            at_low *= 0.5;
        } else {
            (low, at_low) = (middle, here);
            at_high *= 0.5;
        }
    }
    Stop { of: of.of, valve: of.valve.clone(), at_si: low }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn margin(check: Check, over_limit_si: f64) -> Margin {
        Margin { of: Limited::Gap(check), valve: None, over_limit_si }
    }

    #[test]
    fn exact_first_and_second() {
        let way = follow(0.01, 1e-7, |by| {
            Some(vec![
                margin(Check::ValveToBlock, 0.002 - by),
                margin(Check::IntakeToPiston, 0.003 - by * by * 100.0),
                margin(Check::CoilBind, 0.02 - by),
                margin(Check::PistonToHead, -0.001),
            ])
        });
        let (first, second) = (way.first.expect("a limit"), way.second.expect("another"));
        let gaps = [Check::ValveToBlock, Check::IntakeToPiston].map(Limited::Gap);
        assert_eq!([first.of, second.of], gaps);
        assert!((first.at_si - 0.002).abs() <= 1e-7, "{first:?}");
        assert!((second.at_si - 3e-5_f64.sqrt()).abs() <= 1e-7, "{second:?}");
        assert_eq!(way.short_already, vec![(Limited::Gap(Check::PistonToHead), None)]);
    }

    #[test]
    fn exact_jumps_and_hidden_dips() {
        let jump = follow(0.008, 1e-7, |by| {
            Some(if by > 0.0033 { vec![margin(Check::PocketRadial, -0.0004)] } else { Vec::new() })
        });
        let stop = jump.first.expect("the jump");
        assert!(stop.at_si <= 0.0033 && 0.0033 - stop.at_si <= 1e-7, "{stop:?}");
        // Under its limit just before another stops the way, and out again at the next look.
        let hidden = follow(0.008, 1e-7, |by| {
            let dip = (by - 0.0028).abs() - 0.0002;
            Some(vec![margin(Check::ValveToValve, dip), margin(Check::CoilBind, 0.00285 - by)])
        });
        let stop = hidden.first.expect("the dip");
        assert_eq!(stop.of, Limited::Gap(Check::ValveToValve));
        assert!((stop.at_si - 0.0026).abs() <= 2e-7, "{stop:?}");
    }

    #[test]
    fn exact_free_all_the_way() {
        let way = follow(0.01, 1e-7, |_| Some(vec![margin(Check::CoilBind, 0.001)]));
        assert_eq!((way.first, way.second), (None, None));
        assert_eq!(follow(0.01, 1e-7, |_| None).first, None);
    }
}
