//! Room around spring, retainer, rocker and pushrod at the greatest lift: retainer to seal, coil bind, rocker slot,
//! pushrod hole. Leaves out how parts bend, and what springs do at speed.

use motion::{coil_bind_margin, retainer_to_seal, rocker_slot_gap};
use parts::spring::ValveSprings;
use parts::train::{SlotTravel, Train};
use units::Length;

/// What is left at the greatest lift; `None` where nobody measured.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SpringRoom {
    /// Retainer to stem seal.
    pub retainer_to_seal: Option<Length>,
    /// The spring that binds first, to solid.
    pub coil_bind: Option<Length>,
    /// Rocker slot to its stud, at whichever end of the travel is the tighter.
    pub rocker_slot: Option<Length>,
    /// Pushrod to its hole.
    pub pushrod_hole: Option<Length>,
}

/// Room left with the valve lifted by `greatest_lift`, which includes what loft and float may add.
pub fn spring_room(
    springs: Option<&ValveSprings>,
    train: Option<&Train>,
    greatest_lift: Length,
) -> SpringRoom {
    SpringRoom {
        retainer_to_seal: springs.and_then(|springs| retainer_to_seal(springs, greatest_lift)),
        coil_bind: springs.and_then(|springs| coil_bind_margin(springs, greatest_lift)),
        rocker_slot: train
            .and_then(|train| train.rocker_slot)
            .and_then(|slot| rocker_slot(&slot, greatest_lift)),
        // Measured through the whole lift; how much more lift would take depends on guide plate and angle.
        pushrod_hole: train.and_then(|train| train.pushrod_hole_gap).map(|gap| gap.value),
    }
}

/// Gap left in a rocker's slot: the lesser of the one at the seat and the one at the greatest lift, which
/// runs straight from what was measured at the seat through what was measured at a lift. `None` when both
/// were measured at the seat.
///
/// A rocker turns by lift over arm, so its slot moves along the stud nearly in proportion: over 15 mm of lift
/// on a 40 mm arm the arc departs from the straight by 2 % of its travel.
pub fn rocker_slot(slot: &SlotTravel, greatest_lift: Length) -> Option<Length> {
    if slot.lift.value <= Length::default() {
        return None;
    }
    let at_seat = slot.gap_at_seat.value;
    let at_greatest = rocker_slot_gap(slot, greatest_lift)?;
    Some(if at_greatest < at_seat { at_greatest } else { at_seat })
}

#[cfg(test)]
mod tests {
    use super::*;
    use parts::spring::{Coil, CoilLoad};
    use units::length::millimeter;
    use units::{Force, Reading, SpringRate};

    fn mm(value: f64) -> Reading<Length> {
        Reading::catalogue(Length::new::<millimeter>(value), Length::default())
    }

    fn coil(installed: f64, bind: f64) -> Coil {
        let rate = SpringRate::from_newtons_per_metre(6e4);
        let load = CoilLoad::Linear {
            seat_load: Reading::catalogue(Force::default(), Force::default()),
            rate: Reading::catalogue(rate, rate),
        };
        Coil {
            installed_height: mm(installed),
            load,
            coil_bind_height: Some(mm(bind)),
            wire: None,
            mass: None,
        }
    }

    #[test]
    fn exact_seal_and_the_spring_that_binds_first() {
        let springs = ValveSprings {
            outer: coil(46.0, 29.0),
            inner: Some(coil(43.0, 27.0)),
            retainer_to_seal: Some(mm(14.5)),
        };
        let room = spring_room(Some(&springs), None, mm(13.0).value);
        let left = |room: Option<Length>| room.expect("measured").get::<millimeter>();
        assert!((left(room.retainer_to_seal) - 1.5).abs() < 1e-12);
        assert!((left(room.coil_bind) - 3.0).abs() < 1e-12);
        assert_eq!(room.rocker_slot, None);
    }

    #[test]
    fn exact_slot_at_its_tighter_end() {
        let slot = |seat: f64, lift: f64| SlotTravel {
            gap_at_seat: mm(seat),
            gap_at_lift: mm(lift),
            lift: mm(10.0),
        };
        let left = |slot: SlotTravel, lift: f64| {
            rocker_slot(&slot, mm(lift).value).expect("measured").get::<millimeter>()
        };
        assert!((left(slot(3.0, 1.0), 12.0) - 0.6).abs() < 1e-12);
        assert!((left(slot(0.8, 3.0), 12.0) - 0.8).abs() < 1e-12);
        assert_eq!(rocker_slot(&SlotTravel { lift: mm(0.0), ..slot(1.0, 1.0) }, mm(12.0).value), None);
    }
}
