//! The camshaft: what is known of each lobe, and where it stands against the crank. Leaves out the train between
//! lobe and valve.

use units::{Angle, CrankAngle, Length, Quantity, Ratio, Reading};

use crate::readings::{ReadingMut, Visit, show};

/// One lobe: its shape, its place on the crank, and how far it can be turned.
///
/// Crank angles of a lobe are counted from the top dead centre between exhaust and intake strokes. Each is given
/// the way the trade gives it: an intake centreline after that centre, an exhaust centreline before it, both
/// positive.
#[derive(Clone, Debug, PartialEq)]
pub struct Lobe {
    /// How its shape is known.
    pub source: LobeSource,
    /// Where it stands.
    pub timing: LobeTiming,
    /// Valve lifts measured near top dead centre on the assembled engine; the curve is led through them.
    pub pins: Vec<LiftPin>,
    /// Radius of the base circle, for curvature and contact stress.
    pub base_radius: Option<Reading<Length>>,
    /// Width of the lobe's face along the camshaft, for contact stress.
    pub face_width: Option<Reading<Length>>,
}

/// How the shape of a lobe is known.
#[derive(Clone, Debug, PartialEq)]
pub enum LobeSource {
    /// Numbers of a cam card.
    Card(LobeCard),
    /// Lift measured angle by angle.
    Table(LobeTable),
}

/// Where a lift was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LiftAt {
    /// On the tappet, or on whatever else rides on the lobe.
    Tappet,
    /// On the valve, through a rocker of this ratio and with this lash at the valve.
    Valve {
        /// Ratio of the rocker it was measured with.
        ratio: Reading<Ratio>,
        /// Lash at the valve while it was measured; 0 for a solid zero-lash set-up.
        lash: Reading<Length>,
    },
}

impl LiftAt {
    /// A lift measured there, as lift of the tappet: a lift of the valve plus the lash, over the ratio. Relative
    /// tolerances add as the root sum of squares.
    pub fn at_tappet(&self, lift: Reading<Length>) -> Reading<Length> {
        match self {
            Self::Tappet => lift,
            Self::Valve { ratio, lash } => {
                let gross = lift.value + lash.value;
                let of_lift = lift.tolerance.si().hypot(lash.tolerance.si());
                let of_ratio = gross.si() * ratio.tolerance.si() / ratio.value.si();
                Reading {
                    value: gross / ratio.value,
                    tolerance: Length::from_si(of_lift.hypot(of_ratio) / ratio.value.si()),
                    basis: lift.basis.min(lash.basis).min(ratio.basis),
                }
            }
        }
    }

    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        if let Self::Valve { ratio, lash } = self {
            show(ratio, path, "ratio", see);
            show(lash, path, "lash", see);
        }
    }
}

/// What a cam card says of one lobe. At least one duration is needed.
#[derive(Clone, Debug, PartialEq)]
pub struct LobeCard {
    /// Greatest lift of the tappet.
    pub lobe_lift: Reading<Length>,
    /// Durations at stated lifts, in any order.
    pub durations: Vec<Duration>,
    /// Ramp that takes up the lash while opening, when the card gives it.
    pub ramp_opening: Option<Ramp>,
    /// Ramp that sets the valve down.
    pub ramp_closing: Option<Ramp>,
}

/// For how long the lobe lifts more than a stated lift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Duration {
    /// The stated lift.
    pub lift: Reading<Length>,
    /// Where that lift is measured.
    pub at: LiftAt,
    /// How long.
    pub span: Span,
}

/// A duration, whole or split at the nose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Span {
    /// The whole duration of a lobe whose flanks mirror each other.
    Symmetric(Reading<CrankAngle>),
    /// The two parts of an asymmetric lobe.
    Flanks {
        /// From the stated lift on the opening flank to the nose.
        opening: Reading<CrankAngle>,
        /// From the nose to the stated lift on the closing flank.
        closing: Reading<CrankAngle>,
    },
}

/// A ramp of constant velocity between base circle and flank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ramp {
    /// Tappet lift where the ramp ends and the flank begins.
    pub height: Reading<Length>,
    /// Tappet lift gained in one degree of the cam.
    pub rise_per_cam_degree: Reading<Length>,
}

/// Lift measured at many angles.
#[derive(Clone, Debug, PartialEq)]
pub struct LobeTable {
    /// What the angles count.
    pub angles: TableAngles,
    /// What the lifts are.
    pub lifts: LiftAt,
    /// The rows as they were read, in the order of the file.
    pub rows: Vec<LobeRow>,
    /// Standard deviation of one reading of the indicator, when known; judged from the rows otherwise.
    pub noise: Option<Length>,
}

/// Which shaft the degree wheel sat on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableAngles {
    /// Degrees of the camshaft: one lobe in 360.
    Cam,
    /// Degrees of the crankshaft: one lobe in 720.
    Crank,
}

/// One row of a measured table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LobeRow {
    /// Number of the row or line in the file it came from, for messages.
    pub number: usize,
    /// On the shaft that the table names, from any zero, positive in rotation.
    pub angle: Angle,
    /// Lift there.
    pub lift: Length,
}

/// Where a lobe stands against the crank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LobeTiming {
    /// What the card or the degree wheel says.
    pub reference: TimingReference,
    /// What the reference locates on the lobe.
    pub centre: LobeCentre,
    /// How much earlier than that the cam is installed; negative for retarded.
    pub installed_advance: Reading<CrankAngle>,
    /// What a variable phaser may add.
    pub phasing: Phasing,
}

/// How a lobe's place is stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TimingReference {
    /// The lobe centreline: after top dead centre for intake, before it for exhaust.
    Centreline(Reading<CrankAngle>),
    /// Between the two lobe centrelines, and how much earlier than the even split both stand.
    Separation {
        /// Crank degrees from one centreline to the other, halved: the lobe separation angle.
        separation: Reading<CrankAngle>,
        /// Advance ground into the cam.
        advance: Reading<CrankAngle>,
    },
    /// Opening and closing at one stated lift, as cards give them: an intake opens before top and closes after
    /// bottom dead centre, an exhaust opens before bottom and closes after top; all positive.
    Events {
        /// The stated lift.
        lift: Reading<Length>,
        /// Where that lift is measured.
        at: LiftAt,
        /// Opening, before its dead centre.
        opens: Reading<CrankAngle>,
        /// Closing, after its dead centre.
        closes: Reading<CrankAngle>,
    },
}

/// What is called the centre of a lobe. On a symmetric lobe both are one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LobeCentre {
    /// The angle of greatest lift.
    Nose,
    /// Midway between equal tappet lifts on the two flanks.
    MidpointAt(Length),
}

/// What a variable phaser may add to the installed position. Both are 0 for a fixed cam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phasing {
    /// Farthest it goes earlier; never negative.
    pub advance: CrankAngle,
    /// Farthest it goes later; never negative.
    pub retard: CrankAngle,
}

/// A valve lift measured with an indicator near the top dead centre between exhaust and intake strokes, at the
/// installed position, with cold lash.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LiftPin {
    /// Crank position, positive after top dead centre.
    pub after_tdc: CrankAngle,
    /// Lift of the valve there.
    pub valve_lift: Reading<Length>,
}

impl Visit for Lobe {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        match &mut self.source {
            LobeSource::Card(card) => card.visit(path, see),
            LobeSource::Table(table) => table.lifts.visit(&format!("{path}.table"), see),
        }
        self.timing.visit(path, see);
        for pin in &mut self.pins {
            let name = format!("lift_at_{}_deg", pin.after_tdc.degrees());
            show(&mut pin.valve_lift, path, &name, see);
        }
        let sizes = [("base_radius", &mut self.base_radius), ("face_width", &mut self.face_width)];
        for (name, size) in sizes {
            if let Some(reading) = size {
                show(reading, path, name, see);
            }
        }
    }
}

impl Visit for LobeCard {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        show(&mut self.lobe_lift, path, "lobe_lift", see);
        for (idx, duration) in self.durations.iter_mut().enumerate() {
            let path = format!("{path}.duration.#{}", idx + 1);
            show(&mut duration.lift, &path, "at", see);
            duration.at.visit(&path, see);
            match &mut duration.span {
                Span::Symmetric(whole) => show(whole, &path, "lasts", see),
                Span::Flanks { opening, closing } => {
                    show(opening, &path, "opening", see);
                    show(closing, &path, "closing", see);
                }
            }
        }
        let ramps = [("ramp_opening", &mut self.ramp_opening), ("ramp_closing", &mut self.ramp_closing)];
        for (name, ramp) in ramps {
            if let Some(ramp) = ramp {
                show(&mut ramp.height, path, &format!("{name}_height"), see);
                show(&mut ramp.rise_per_cam_degree, path, &format!("{name}_rise"), see);
            }
        }
    }
}

impl Visit for LobeTiming {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        match &mut self.reference {
            TimingReference::Centreline(centreline) => show(centreline, path, "centreline", see),
            TimingReference::Separation { separation, advance } => {
                show(separation, path, "lobe_separation", see);
                show(advance, path, "ground_advance", see);
            }
            TimingReference::Events { lift, at, opens, closes } => {
                let path = format!("{path}.events");
                show(lift, &path, "at", see);
                at.visit(&path, see);
                show(opens, &path, "opens", see);
                show(closes, &path, "closes", see);
            }
        }
        show(&mut self.installed_advance, path, "installed_advance", see);
    }
}
