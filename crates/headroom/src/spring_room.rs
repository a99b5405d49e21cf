//! Room for spring, retainer, rocker and pushrod at full lift: the findings. Leaves out loads and speeds.

use fit::spring_room::rocker_slot;
use motion::{coil_bind_margin, retainer_to_seal};
use parts::limit::{Check, Limits};
use parts::{Cylinder, Valve};
use units::reading::SDS_IN_TOLERANCE;
use units::{Length, Reading};

use crate::finding::{Finding, Seen, Status, Weakest};
use crate::place::{PlaceSeen, Surface};
use crate::sampling::chance_below;

/// The gap of a check at a valve's full travel, loft included, with the tolerances of what it is made of; `None` where it was not measured.
pub fn room(check: Check, cylinder: &Cylinder, valve: &Valve) -> Option<Room> {
    let gear = cylinder.gear.of(valve.duty)?;
    let springs = gear.springs.as_ref();
    let lift = cylinder.travel(valve);
    let duty = match valve.duty {
        parts::Duty::Intake => "intake",
        parts::Duty::Exhaust => "exhaust",
    };
    let part = |name: &str, reading: Reading<Length>| (format!("{name}.{duty}"), reading);
    let (gap, mut made_of) = match check {
        Check::RetainerToSeal => {
            let seated = springs?.retainer_to_seal?;
            (retainer_to_seal(springs?, lift.value)?, vec![part("spring", seated)])
        }
        Check::CoilBind => {
            let outer = &springs?.outer;
            let parts = vec![part("spring", outer.installed_height), part("spring", outer.coil_bind_height?)];
            (coil_bind_margin(springs?, lift.value)?, parts)
        }
        Check::RockerSlot => {
            let slot = gear.train.rocker_slot.as_ref()?;
            (rocker_slot(slot, lift.value)?, vec![part("train", slot.gap_at_lift)])
        }
        Check::PushrodHole => {
            let hole = gear.train.pushrod_hole_gap?;
            return Some(Room { gap: hole.value, made_of: vec![part("train", hole)] });
        }
        _ => return None,
    };
    made_of.push((format!("head.valve.{}.lift", valve.name), lift));
    Some(Room { gap, made_of })
}

/// A gap and the readings it is the sum of.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Nominal gap.
    pub gap: Length,
    made_of: Vec<(String, Reading<Length>)>,
}

impl Room {
    /// The finding.
    pub fn finding(&self, check: Check, cylinder: &Cylinder, valve: &Valve, limits: &Limits) -> Finding {
        let limit = limits.of(check);
        let square = |reading: &Reading<Length>| reading.tolerance.value * reading.tolerance.value;
        let variance: f64 = self.made_of.iter().map(|(_, reading)| square(reading)).sum();
        let tolerance = variance.sqrt();
        let sd = tolerance / SDS_IN_TOLERANCE;
        let weakest = self.made_of.iter().max_by(|a, b| square(&a.1).total_cmp(&square(&b.1)));
        Finding {
            check,
            valve: Some(valve.name.clone()),
            other_valve: None,
            cylinders: Vec::new(),
            others: Vec::new(),
            status: Status::of(self.gap, limit.least),
            seen: Some(Seen {
                gap: self.gap,
                tolerance: Length::new::<units::length::meter>(tolerance),
                place: PlaceSeen::new([0.0; 3], Surface::Anywhere),
                lift: Some(cylinder.travel(valve).value),
                crank: None,
                phaser: Vec::new(),
                first_contact: None,
                chance_of_hitting: chance_below(0.0, self.gap.value, sd),
                chance_under_limit: chance_below(limit.least.value, self.gap.value, sd),
                weakest: weakest.filter(|_| variance > 0.0).map(|(path, reading)| Weakest {
                    path: path.clone(),
                    basis: reading.basis,
                    share: square(reading) / variance,
                }),
            }),
            cures: Vec::new(),
            limit: limit.least,
            limit_source: limit.source,
        }
    }
}
