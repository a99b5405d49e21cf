//! Slack as JSON: amounts in millimetres, crank degrees or bare ratio, by the unit that stands with them.

use serde::Serialize;
use units::angular_velocity::{radian_per_second, revolution_per_minute};
use units::{AngularVelocity, CrankAngle};

use crate::slack::{RevSlack, Slack};
use crate::slack_change::{Adjustment, Kind};
use crate::slack_search::{Stop, Way};
use crate::slack_words::adjustment;
use crate::wire::FORMAT;

/// The whole answer.
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct SlackWire {
    format: u32,
    name: String,
    verdict: Vec<String>,
    adjustments: Vec<AdjustmentWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    lift_off_rpm: Option<f64>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct AdjustmentWire {
    adjustment: String,
    unit: &'static str,
    looked_at_up_to: f64,
    ways: [WayWire; 2],
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct WayWire {
    way: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    first: Option<StopWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    second: Option<StopWire>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    short_already: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct StopWire {
    check: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    valve: Option<String>,
    at: f64,
}

impl SlackWire {
    /// The answer with its verdict in words.
    pub fn new(name: &str, slacks: &[Slack], revs: Option<&RevSlack>, verdict: Vec<String>) -> Self {
        Self {
            format: FORMAT,
            name: name.to_owned(),
            verdict,
            adjustments: slacks.iter().map(AdjustmentWire::from).collect(),
            lift_off_rpm: revs.map(|revs| revs.lift_off.get::<revolution_per_minute>().round()),
        }
    }
}

impl From<&Slack> for AdjustmentWire {
    fn from(slack: &Slack) -> Self {
        let (name, words) = adjustment(slack.adjustment);
        let unit = match slack.adjustment.kind() {
            Kind::Length => "mm",
            Kind::CrankAngle => "crank deg",
            Kind::Ratio => "1",
            Kind::Speed => "rpm",
        };
        let way = |word, way: &Way| WayWire {
            way: word,
            first: way.first.as_ref().map(|stop| StopWire::new(slack.adjustment, stop)),
            second: way.second.as_ref().map(|stop| StopWire::new(slack.adjustment, stop)),
            short_already: way.short_already.iter().map(|(of, _)| of.key()).collect(),
        };
        Self {
            adjustment: name,
            unit,
            looked_at_up_to: told(slack.adjustment, slack.most_si),
            ways: [way(words[0], &slack.more), way(words[1], &slack.less)],
        }
    }
}

impl StopWire {
    fn new(adjustment: Adjustment, stop: &Stop) -> Self {
        Self { check: stop.of.key(), valve: stop.valve.clone(), at: told(adjustment, stop.at_si) }
    }
}

/// An amount in the unit it is told in, to a ten-thousandth.
fn told(adjustment: Adjustment, si: f64) -> f64 {
    let value = match adjustment.kind() {
        Kind::Length => si * 1e3,
        Kind::CrankAngle => CrankAngle::from_radians(si).degrees(),
        Kind::Ratio => si,
        Kind::Speed => AngularVelocity::new::<radian_per_second>(si).get::<revolution_per_minute>(),
    };
    (value * 1e4).round() / 1e4
}
