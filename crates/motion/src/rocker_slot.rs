//! How far a slotted rocker stays from its stud at a lift. Leaves out how the slot came to be there.

use parts::train::SlotTravel;
use units::Length;

/// Gap between slot and stud with the valve lifted, from the gaps measured on the seat and at one lift; negative when they
/// meet.
///
/// Straight between the two readings and beyond them: a rocker turns in proportion to the lift within about one part in a
/// hundred over its 20 degrees. The least gap is at one of the two ends of the travel. `None` when both readings were
/// taken on the seat.
pub fn rocker_slot_gap(slot: &SlotTravel, lift: Length) -> Option<Length> {
    if slot.lift.value == Length::default() {
        return None;
    }
    let share = (lift / slot.lift.value).value;
    Some(slot.gap_at_seat.value + (slot.gap_at_lift.value - slot.gap_at_seat.value) * share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::Reading;
    use units::length::millimeter;

    #[test]
    fn exact_gap_between_and_beyond() {
        let mm = |value| Length::new::<millimeter>(value);
        let reading = |value| Reading::measured(mm(value), mm(0.1));
        let slot = SlotTravel { gap_at_seat: reading(2.0), gap_at_lift: reading(1.0), lift: reading(10.0) };
        for (lift, gap) in [(0.0, 2.0), (5.0, 1.5), (10.0, 1.0), (25.0, -0.5)] {
            let got = rocker_slot_gap(&slot, mm(lift)).expect("measured at a lift").get::<millimeter>();
            assert!((got - gap).abs() < 1e-12, "{lift}: {got}");
        }
        assert!(rocker_slot_gap(&SlotTravel { lift: reading(0.0), ..slot }, mm(1.0)).is_none());
    }
}
