//! Between lobe and valve: follower, ratio, lash and masses. Leaves out springs, and the stiffness of the parts.

use units::{Length, Mass, Ratio, Reading};

use crate::readings::{ReadingMut, Visit, show};

/// Everything between one lobe and its valve.
#[derive(Clone, Debug, PartialEq)]
pub struct Train {
    /// What rides on the lobe.
    pub follower: Follower,
    /// Valve lift over tappet lift at full lift; 1 for a bucket.
    pub ratio: Reading<Ratio>,
    /// How the ratio changes on the way, when it was measured; empty for one ratio throughout.
    ///
    /// Only the shape counts: the curve is scaled so that it shows `ratio` at full lift, so a changed ratio moves
    /// the whole curve.
    pub ratio_against_lift: Vec<RatioPoint>,
    /// Gap or hydraulic element.
    pub lash: Lash,
    /// What has to be accelerated.
    pub masses: TrainMasses,
    /// Free travel of the rocker slot or stud slot each way from its middle, over the whole lift, when measured.
    pub rocker_slot: Option<SlotTravel>,
    /// Least gap between pushrod and its hole through the whole lift, when measured.
    pub pushrod_hole_gap: Option<Reading<Length>>,
    /// How much farther than its cam says a valve may stand open past the nose, when somebody allows for it: loft and
    /// float.
    pub loft: Option<Reading<Length>>,
}

/// What rides on the lobe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Follower {
    /// A flat face that slides.
    Flat {
        /// Diameter of the face.
        diameter: Reading<Length>,
    },
    /// A wheel on a tappet that moves straight toward the cam axis.
    Roller {
        /// Radius of the wheel.
        radius: Reading<Length>,
    },
    /// A finger or rocker whose pad or wheel rides on the lobe itself.
    Finger {
        /// Radius of pad or wheel where it touches.
        pad_radius: Reading<Length>,
    },
}

/// The ratio at one lift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RatioPoint {
    /// Lift of the tappet.
    pub tappet_lift: Length,
    /// Valve lift over tappet lift there.
    pub ratio: Ratio,
}

/// The gap in the train, or what closes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lash {
    /// A gap that is set by hand.
    Solid {
        /// Where it is measured.
        at: LashAt,
        /// Set cold.
        cold: Reading<Length>,
        /// At running temperature, when known; taken as the cold one otherwise.
        hot: Option<Reading<Length>>,
    },
    /// A hydraulic element that closes the gap with oil.
    Hydraulic {
        /// How far the plunger is pushed in from its stop with the valve seated, measured at the tappet.
        preload: Reading<Length>,
        /// Whole travel of the plunger.
        plunger_travel: Reading<Length>,
    },
}

/// Where lash is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LashAt {
    /// Between rocker and valve stem.
    Valve,
    /// Between lobe and follower.
    Cam,
}

/// Masses that move with one valve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrainMasses {
    /// The valve.
    pub valve: Reading<Mass>,
    /// Retainer and locks.
    pub retainer: Reading<Mass>,
    /// The rocker's inertia about its pivot over the square of its valve-side arm; none for a bucket.
    pub rocker_at_valve: Option<Reading<Mass>>,
    /// The pushrod; none when there is none.
    pub pushrod: Option<Reading<Mass>>,
    /// Tappet or bucket.
    pub tappet: Option<Reading<Mass>>,
}

/// How far a slotted rocker may still go before the slot touches its stud.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlotTravel {
    /// Gap left with the valve seated.
    pub gap_at_seat: Reading<Length>,
    /// Gap left at the lift it was measured at.
    pub gap_at_lift: Reading<Length>,
    /// That valve lift.
    pub lift: Reading<Length>,
}

impl Visit for Train {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        match &mut self.follower {
            Follower::Flat { diameter } => show(diameter, path, "face_diameter", see),
            Follower::Roller { radius } => show(radius, path, "roller_radius", see),
            Follower::Finger { pad_radius } => show(pad_radius, path, "pad_radius", see),
        }
        show(&mut self.ratio, path, "ratio", see);
        match &mut self.lash {
            Lash::Solid { cold, hot, .. } => {
                show(cold, path, "lash_cold", see);
                if let Some(hot) = hot {
                    show(hot, path, "lash_hot", see);
                }
            }
            Lash::Hydraulic { preload, plunger_travel } => {
                show(preload, path, "preload", see);
                show(plunger_travel, path, "plunger_travel", see);
            }
        }
        self.masses.visit(path, see);
        if let Some(slot) = &mut self.rocker_slot {
            show(&mut slot.gap_at_seat, path, "slot_gap_seated", see);
            show(&mut slot.gap_at_lift, path, "slot_gap_lifted", see);
            show(&mut slot.lift, path, "slot_lift", see);
        }
        if let Some(gap) = &mut self.pushrod_hole_gap {
            show(gap, path, "pushrod_hole_gap", see);
        }
        if let Some(loft) = &mut self.loft {
            show(loft, path, "loft", see);
        }
    }
}

impl Visit for TrainMasses {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        show(&mut self.valve, path, "valve_mass", see);
        show(&mut self.retainer, path, "retainer_mass", see);
        let others = [
            ("rocker_mass", &mut self.rocker_at_valve),
            ("pushrod_mass", &mut self.pushrod),
            ("tappet_mass", &mut self.tappet),
        ];
        for (name, mass) in others {
            if let Some(mass) = mass {
                show(mass, path, name, see);
            }
        }
    }
}
