//! The changes that can stand in for a cut: what each does to a cylinder, and how far it may sensibly go. Leaves out how
//! far is needed.

use parts::cam::LobeSource;
use parts::gear::ValveGear;
use parts::{Build, Cylinder, Duty, Shape, Valve};
use units::CrankAngle;

/// A change, in the sense that gives room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Change {
    /// Less lift at the valve: another lobe.
    LessLift,
    /// Less rocker ratio on the lobe that is there; the lift falls with it.
    LessRatio,
    /// The lobe turned to open the valve earlier.
    EarlierLobe,
    /// The lobe turned to open the valve later.
    LaterLobe,
    /// A gasket that is thicker when torqued down.
    ThickerGasket,
    /// A larger opening in the gasket.
    WiderOpening,
    /// The whole head moved toward the bore axis on offset dowels.
    HeadShift,
    /// A valve with a smaller head on the same centre.
    SmallerValve,
    /// Face of the valve ground back, its seat where it is.
    NarrowerMargin,
    /// Seat sunk into the head.
    DeeperSeat,
    /// A larger bore, with pistons for it.
    Overbore,
    /// Valve axis leaned so that it opens toward the bore axis.
    Tilt,
}

impl Change {
    /// All of them.
    pub const ALL: [Self; 12] = [
        Self::LessLift,
        Self::LessRatio,
        Self::EarlierLobe,
        Self::LaterLobe,
        Self::ThickerGasket,
        Self::WiderOpening,
        Self::HeadShift,
        Self::SmallerValve,
        Self::NarrowerMargin,
        Self::DeeperSeat,
        Self::Overbore,
        Self::Tilt,
    ];

    /// What a shop calls it.
    pub fn words(self) -> &'static str {
        match self {
            Self::LessLift => "less lift",
            Self::LessRatio => "less rocker ratio",
            Self::EarlierLobe => "lobe turned earlier",
            Self::LaterLobe => "lobe turned later",
            Self::ThickerGasket => "thicker gasket",
            Self::WiderOpening => "wider gasket opening",
            Self::HeadShift => "head shifted inward",
            Self::SmallerValve => "smaller valve",
            Self::NarrowerMargin => "narrower margin",
            Self::DeeperSeat => "deeper seat",
            Self::Overbore => "overbore",
            Self::Tilt => "valve leaned inward",
        }
    }

    /// Its name in JSON.
    pub fn key(self) -> &'static str {
        match self {
            Self::LessLift => "less_lift",
            Self::LessRatio => "less_ratio",
            Self::EarlierLobe => "earlier_lobe",
            Self::LaterLobe => "later_lobe",
            Self::ThickerGasket => "thicker_gasket",
            Self::WiderOpening => "wider_gasket_opening",
            Self::HeadShift => "head_shift",
            Self::SmallerValve => "smaller_valve",
            Self::NarrowerMargin => "narrower_margin",
            Self::DeeperSeat => "deeper_seat",
            Self::Overbore => "overbore",
            Self::Tilt => "tilt",
        }
    }

    /// What has to be bought or done.
    pub fn work(self) -> &'static str {
        match self {
            Self::LessLift => "another camshaft",
            Self::LessRatio => "other rockers; slots, pushrods and lash checked again",
            Self::EarlierLobe | Self::LaterLobe => {
                "adjustable wheel or offset key; on a camshaft for both duties the other lobe goes with it"
            }
            Self::ThickerGasket => "another gasket",
            Self::WiderOpening => "another gasket",
            Self::HeadShift => "offset dowels; gasket and ports checked again",
            Self::SmallerValve => "valves and seats",
            Self::NarrowerMargin => "valve faces ground; they run hotter",
            Self::DeeperSeat => "seats sunk, stems and springs set up again",
            Self::Overbore => "rebore with pistons and rings; sonic test first",
            Self::Tilt => "new guides and seats: another head",
        }
    }

    /// Whether it is a bare number.
    pub fn is_ratio(self) -> bool {
        self == Self::LessRatio
    }

    /// Whether it is an angle; else it is a ratio or a length.
    pub fn is_angle(self) -> bool {
        self == Self::Tilt || self.is_crank_angle()
    }

    /// Whether it is an angle of the crank.
    pub fn is_crank_angle(self) -> bool {
        matches!(self, Self::EarlierLobe | Self::LaterLobe)
    }

    /// Whether it changes how the valve moves, and not only how far.
    pub fn is_of_gear(self) -> bool {
        matches!(self, Self::LessLift | Self::LessRatio | Self::EarlierLobe | Self::LaterLobe)
    }

    /// How far it may sensibly go, in metres or radians; 0 where it cannot.
    ///
    /// Gaskets are made up to about 2 mm over the usual; a valve more than 4 mm smaller or an opening more than 4 mm larger
    /// is another engine, and so is a cam with less than 0.6 of the lift; rockers are made
    /// down to about 0.7 of the usual ratio; a cam is turned by 12 degrees of the crank at the most; heads move by no more than dowels and bolt holes
    /// let them, 0.8 mm; a margin stays over 0.8 mm (1/32 in); seats are sunk by 1.5 mm and blocks bored by as much at the
    /// most; 2 degrees is what guides can be moved by (all common practice, no source).
    pub fn most_si(self, build: &Build, valve: &str) -> f64 {
        const LEAST_MARGIN_M: f64 = 0.8e-3;
        let valves = build.cylinders.iter().filter_map(|cylinder| cylinder.valve(valve));
        let least = |of: fn(&Valve) -> f64| valves.map(of).fold(f64::INFINITY, f64::min);
        match self {
            Self::LessLift => 0.4 * least(|valve| valve.lift.value.value),
            Self::LessRatio => {
                let ratios = build.cylinders.iter().filter_map(|cylinder| ratio_of(cylinder, valve));
                0.3 * ratios.filter(|ratio| *ratio >= LEAST_ROCKER).reduce(f64::min).unwrap_or(0.0)
            }
            Self::EarlierLobe | Self::LaterLobe => 12.0_f64.to_radians(),
            Self::ThickerGasket => 2e-3,
            Self::WiderOpening | Self::SmallerValve => 4e-3,
            Self::HeadShift => 0.8e-3,
            Self::NarrowerMargin => least(|valve| valve.margin.value.value) - LEAST_MARGIN_M,
            Self::DeeperSeat | Self::Overbore => 1.5e-3,
            Self::Tilt => 2.0_f64.to_radians(),
        }
    }

    /// Whether more of it can take room again: on the other side of the bore, or on a mirrored cylinder.
    pub fn may_do_harm_farther_on(self) -> bool {
        matches!(self, Self::HeadShift | Self::Tilt) || self.is_crank_angle()
    }

    /// Makes the change on one cylinder. `inward` is the way a head goes, one for all cylinders.
    pub fn apply(self, cylinder: &mut Cylinder, valve_name: &str, by: f64, inward: [f64; 2]) {
        let shift = [cylinder.head.shift_x.value.value, cylinder.head.shift_y.value.value];
        let Cylinder { block, gasket, head, .. } = cylinder;
        match self {
            Self::ThickerGasket => gasket.thickness.value.value += by,
            Self::WiderOpening => match &mut gasket.opening.shape {
                Shape::Circle { diameter } => diameter.value.value += by,
                Shape::Polygon { growth, .. } => growth.value.value += 0.5 * by,
            },
            Self::HeadShift => {
                head.shift_x.value.value += by * inward[0];
                head.shift_y.value.value += by * inward[1];
            }
            Self::Overbore => block.bore.value.value += by,
            _ => {}
        }
        if self.is_of_gear() {
            self.apply_to_gear(cylinder, valve_name, by);
            return;
        }
        let Cylinder { head, .. } = cylinder;
        let Some(valve) = head.valves.iter_mut().find(|valve| valve.name == valve_name) else { return };
        let radius = 0.5 * valve.head_diameter.value.value;
        let sunk_m3 = std::f64::consts::PI * radius * radius * by;
        match self {
            Self::SmallerValve => valve.head_diameter.value.value -= by,
            Self::NarrowerMargin => {
                valve.margin.value.value -= by;
                valve.recess.value.value += by;
                head.chamber_volume.value.value += sunk_m3;
            }
            Self::DeeperSeat => {
                valve.recess.value.value += by;
                head.chamber_volume.value.value += sunk_m3;
            }
            Self::Tilt => {
                let out = [valve.x.value.value + shift[0], valve.y.value.value + shift[1]];
                let length = out[0].hypot(out[1]).max(f64::MIN_POSITIVE);
                valve.tilt_x.value.value += by * out[0] / length;
                valve.tilt_y.value.value += by * out[1] / length;
            }
            _ => {}
        }
    }

    /// The same of a change of lobe or rocker, which all valves of the duty go by.
    fn apply_to_gear(self, cylinder: &mut Cylinder, valve_name: &str, by: f64) {
        let Some(valve) = cylinder.valve(valve_name) else { return };
        let (duty, lift, ratio) = (valve.duty, valve.lift.value.value, ratio_of(cylinder, valve_name));
        let gear = match duty {
            Duty::Intake => &mut cylinder.gear.intake,
            Duty::Exhaust => &mut cylinder.gear.exhaust,
        };
        let mut share = 1.0;
        match (self, gear, ratio) {
            (Self::LessLift, gear, _) => {
                share = (lift - by) / lift;
                if let Some(gear) = gear {
                    scale_lobe(gear, share);
                }
            }
            (Self::LessRatio, Some(gear), Some(ratio)) => {
                share = (ratio - by) / ratio;
                gear.train.ratio.value.value = ratio - by;
            }
            (Self::EarlierLobe | Self::LaterLobe, Some(gear), _) => {
                let earlier = CrankAngle::from_radians(if self == Self::EarlierLobe { by } else { -by });
                let advance = &mut gear.lobe.timing.installed_advance.value;
                *advance = *advance + earlier;
            }
            _ => {}
        }
        cylinder
            .head
            .valves
            .iter_mut()
            .filter(|valve| valve.duty == duty)
            .for_each(|valve| valve.lift.value *= share);
    }

    /// The reading it changes, in SI; `None` where only the difference says anything.
    pub fn reading_si(self, cylinder: &Cylinder, valve: &Valve) -> Option<f64> {
        match self {
            Self::LessLift => Some(valve.lift.value.value),
            Self::LessRatio => ratio_of(cylinder, &valve.name),
            Self::ThickerGasket => Some(cylinder.gasket.thickness.value.value),
            Self::WiderOpening => match &cylinder.gasket.opening.shape {
                Shape::Circle { diameter } => Some(diameter.value.value),
                Shape::Polygon { .. } => None,
            },
            Self::SmallerValve => Some(valve.head_diameter.value.value),
            Self::NarrowerMargin => Some(valve.margin.value.value),
            Self::DeeperSeat => Some(valve.recess.value.value),
            Self::Overbore => Some(cylinder.block.bore.value.value),
            Self::HeadShift | Self::Tilt | Self::EarlierLobe | Self::LaterLobe => None,
        }
    }
}

/// A lobe of the same kind with another lift: the lift on the card, or every lift of the table, times a factor; durations
/// at the card's lifts stay.
fn scale_lobe(gear: &mut ValveGear, share: f64) {
    match &mut gear.lobe.source {
        LobeSource::Card(card) => card.lobe_lift.value *= share,
        LobeSource::Table(table) => table.rows.iter_mut().for_each(|row| row.lift *= share),
    }
}

/// A ratio below this is no rocker's: a bucket or a plain finger has no other to put in its place (common practice, no
/// source).
const LEAST_ROCKER: f64 = 1.1;

/// Rocker ratio of a valve, where its gear is known.
fn ratio_of(cylinder: &Cylinder, valve: &str) -> Option<f64> {
    let duty = cylinder.valve(valve)?.duty;
    cylinder.gear.of(duty).map(|gear| gear.train.ratio.value.value)
}
