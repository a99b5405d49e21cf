//! One valve and the metal around it as plain numbers: what a cylinder's readings come to before any distance is
//! taken. Leaves out the piston and the other valves.

use glam::DVec3;
use parts::{Cylinder, Outline, Relief, Valve};
use units::{Basis, Reading};

use crate::relief_cutter::{Cutter, Shape};
use crate::relief_of_block::{cutter_at, cutter_of};
use crate::solid::{Obstacle, Plan, ValveHead};

/// A reading that moves or shapes a valve or the metal around it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[repr(usize)]
#[expect(missing_docs, reason = "each is the reading of that name in crate parts")]
pub enum Param {
    Bore,
    ChamferWidth,
    ChamferDepth,
    GasketThickness,
    GasketX,
    GasketY,
    GasketSize,
    ChamberX,
    ChamberY,
    ChamberSize,
    ChamberWallHeight,
    ShiftX,
    ShiftY,
    Twist,
    HeadDiameter,
    Margin,
    SeatAngle,
    StemDiameter,
    X,
    Y,
    Recess,
    TiltX,
    TiltY,
    Lift,
    ReliefX,
    ReliefY,
    ReliefDiameter,
    ReliefPlunge,
    ReliefTiltX,
    ReliefTiltY,
}

impl Param {
    /// How many there are.
    pub const COUNT: usize = 30;

    /// All of them, in the order of their numbers.
    pub const ALL: [Self; Self::COUNT] = [
        Self::Bore,
        Self::ChamferWidth,
        Self::ChamferDepth,
        Self::GasketThickness,
        Self::GasketX,
        Self::GasketY,
        Self::GasketSize,
        Self::ChamberX,
        Self::ChamberY,
        Self::ChamberSize,
        Self::ChamberWallHeight,
        Self::ShiftX,
        Self::ShiftY,
        Self::Twist,
        Self::HeadDiameter,
        Self::Margin,
        Self::SeatAngle,
        Self::StemDiameter,
        Self::X,
        Self::Y,
        Self::Recess,
        Self::TiltX,
        Self::TiltY,
        Self::Lift,
        Self::ReliefX,
        Self::ReliefY,
        Self::ReliefDiameter,
        Self::ReliefPlunge,
        Self::ReliefTiltX,
        Self::ReliefTiltY,
    ];

    /// Path of the reading below a cylinder, with the valve's name put in.
    pub fn path(self, valve: &str) -> String {
        let of_valve = |name: &str| format!("head.valve.{valve}.{name}");
        let of_relief = |name: &str| format!("block.relief.{valve}.{name}");
        match self {
            Self::Bore => "block.bore".into(),
            Self::ChamferWidth => "block.chamfer_width".into(),
            Self::ChamferDepth => "block.chamfer_depth".into(),
            Self::GasketThickness => "gasket.thickness".into(),
            Self::GasketX => "gasket.opening_x".into(),
            Self::GasketY => "gasket.opening_y".into(),
            Self::GasketSize => "gasket.opening".into(),
            Self::ChamberX => "head.chamber_x".into(),
            Self::ChamberY => "head.chamber_y".into(),
            Self::ChamberSize => "head.chamber_diameter".into(),
            Self::ChamberWallHeight => "head.chamber_wall_height".into(),
            Self::ShiftX => "head.shift_x".into(),
            Self::ShiftY => "head.shift_y".into(),
            Self::Twist => "head.twist".into(),
            Self::HeadDiameter => of_valve("head_diameter"),
            Self::Margin => of_valve("margin"),
            Self::SeatAngle => of_valve("seat_angle"),
            Self::StemDiameter => of_valve("stem_diameter"),
            Self::X => of_valve("x"),
            Self::Y => of_valve("y"),
            Self::Recess => of_valve("recess"),
            Self::TiltX => of_valve("tilt_x"),
            Self::TiltY => of_valve("tilt_y"),
            Self::Lift => of_valve("lift"),
            Self::ReliefX => of_relief("x"),
            Self::ReliefY => of_relief("y"),
            Self::ReliefDiameter => of_relief("diameter"),
            Self::ReliefPlunge => of_relief("plunge"),
            Self::ReliefTiltX => of_relief("tilt_x"),
            Self::ReliefTiltY => of_relief("tilt_y"),
        }
    }
}

/// The readings of one valve's surroundings, in SI.
#[derive(Clone, Debug)]
pub struct Scene {
    /// Values by [`Param`].
    pub values: [f64; Param::COUNT],
    /// 95 % half-widths by [`Param`].
    pub tolerances: [f64; Param::COUNT],
    /// Where each comes from, by [`Param`].
    pub bases: [Basis; Param::COUNT],
    gasket_outline: Outline,
    chamber_outline: Outline,
    /// The shape of the relief that was cut for this valve.
    own_relief: Option<Shape>,
    /// Reliefs of other valves.
    other_reliefs: Vec<Cutter>,
}

/// What a valve can meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Surrounding {
    /// Bore wall, chamfer and deck.
    Block,
    /// The plate around the gasket opening.
    Gasket,
    /// The upright wall of the chamber.
    Chamber,
}

impl Scene {
    /// The scene of one valve of a cylinder.
    pub fn new(cylinder: &Cylinder, valve: &Valve) -> Self {
        let mut scene = Self {
            values: [0.0; Param::COUNT],
            tolerances: [0.0; Param::COUNT],
            bases: [Basis::Assumed; Param::COUNT],
            gasket_outline: cylinder.gasket.opening.clone(),
            chamber_outline: cylinder.head.chamber.clone(),
            own_relief: None,
            other_reliefs: Vec::new(),
        };
        let (block, gasket, head) = (&cylinder.block, &cylinder.gasket, &cylinder.head);
        scene.put(Param::Bore, block.bore);
        scene.put(Param::ChamferWidth, block.chamfer_width);
        scene.put(Param::ChamferDepth, block.chamfer_depth);
        scene.put(Param::GasketThickness, gasket.thickness);
        scene.put(Param::GasketX, gasket.opening.center_x);
        scene.put(Param::GasketY, gasket.opening.center_y);
        scene.put(Param::GasketSize, size(&gasket.opening));
        scene.put(Param::ChamberX, head.chamber.center_x);
        scene.put(Param::ChamberY, head.chamber.center_y);
        scene.put(Param::ChamberSize, size(&head.chamber));
        scene.put(Param::ChamberWallHeight, head.chamber_wall_height);
        scene.put(Param::ShiftX, head.shift_x);
        scene.put(Param::ShiftY, head.shift_y);
        scene.put(Param::Twist, head.twist);
        scene.put(Param::HeadDiameter, valve.head_diameter);
        scene.put(Param::Margin, valve.margin);
        scene.put(Param::SeatAngle, valve.seat_angle);
        scene.put(Param::StemDiameter, valve.stem_diameter);
        scene.put(Param::X, valve.x);
        scene.put(Param::Y, valve.y);
        scene.put(Param::Recess, valve.recess);
        scene.put(Param::TiltX, valve.tilt_x);
        scene.put(Param::TiltY, valve.tilt_y);
        scene.put(Param::Lift, cylinder.travel(valve));
        scene.put_reliefs(&block.reliefs, &valve.name);
        scene
    }

    fn put_reliefs(&mut self, reliefs: &[Relief], valve: &str) {
        let own = reliefs.iter().position(|relief| relief.valve == valve);
        if let Some(relief) = own.map(|idx| &reliefs[idx]) {
            self.put(Param::ReliefX, relief.x);
            self.put(Param::ReliefY, relief.y);
            self.put(Param::ReliefDiameter, relief.diameter);
            self.put(Param::ReliefPlunge, relief.plunge);
            self.put(Param::ReliefTiltX, relief.tilt_x);
            self.put(Param::ReliefTiltY, relief.tilt_y);
            let (corner_radius, layback) = (relief.corner_radius.value, relief.layback.value);
            self.own_relief = Some(Shape::LaidBack { corner_radius, layback });
        }
        let others = reliefs.iter().enumerate().filter(|(idx, _)| Some(*idx) != own);
        self.other_reliefs = others.filter_map(|(_, relief)| cutter_of(relief).ok()).collect();
    }

    /// Everything that was cut out of the block; a cutter that cannot be cuts nothing.
    fn cuts(&self) -> Vec<Cutter> {
        let own = self.own_relief.and_then(|shape| {
            let at = [self.get(Param::ReliefX), self.get(Param::ReliefY)];
            let tilt = [self.get(Param::ReliefTiltX), self.get(Param::ReliefTiltY)];
            let (plunge, radius) = (self.get(Param::ReliefPlunge), 0.5 * self.get(Param::ReliefDiameter));
            cutter_at(at, tilt, plunge, radius, shape).ok()
        });
        own.into_iter().chain(self.other_reliefs.iter().copied()).collect()
    }

    fn put<Q: parts::readings::Si>(&mut self, param: Param, reading: Reading<Q>) {
        let (mut value, mut tolerance) = (reading.value, reading.tolerance);
        self.values[param as usize] = *value.si_mut();
        self.tolerances[param as usize] = *tolerance.si_mut();
        self.bases[param as usize] = reading.basis;
    }

    /// Value of one reading.
    #[inline]
    pub fn get(&self, param: Param) -> f64 {
        self.values[param as usize]
    }

    /// Full travel of the valve, in metres.
    pub fn travel_m(&self) -> f64 {
        self.get(Param::Lift)
    }

    /// The valve in the bore frame. Shift and twist of the head move it with everything else in the head.
    pub fn valve(&self) -> ValveHead {
        let seated_z = self.get(Param::GasketThickness) + self.get(Param::Recess);
        let seated = self.moved_with_head(self.get(Param::X), self.get(Param::Y)).extend(seated_z);
        // A twist of a fraction of a degree turns the lean by the same angle: a ten-thousandth of the lean, left out.
        ValveHead::new(
            self.get(Param::HeadDiameter) / 2.0,
            self.get(Param::Margin),
            self.get(Param::SeatAngle),
            self.get(Param::StemDiameter) / 2.0,
            DVec3::new(seated.x, seated.y, seated.z),
            [self.get(Param::TiltX), self.get(Param::TiltY)],
        )
    }

    fn moved_with_head(&self, x: f64, y: f64) -> glam::DVec2 {
        let (sin, cos) = self.get(Param::Twist).sin_cos();
        glam::DVec2::new(
            cos * x - sin * y + self.get(Param::ShiftX),
            sin * x + cos * y + self.get(Param::ShiftY),
        )
    }

    /// The metal in question, in the bore frame.
    pub fn obstacle(&self, surrounding: Surrounding) -> Obstacle {
        let thickness = self.get(Param::GasketThickness);
        match surrounding {
            Surrounding::Block => Obstacle {
                cuts: self.cuts(),
                ..Obstacle::block(
                    self.get(Param::Bore) / 2.0,
                    self.get(Param::ChamferWidth),
                    self.get(Param::ChamferDepth),
                )
            },
            Surrounding::Gasket => {
                let center = [self.get(Param::GasketX), self.get(Param::GasketY)];
                Obstacle::plate(
                    plan(&self.gasket_outline, center, self.get(Param::GasketSize)),
                    0.0,
                    thickness,
                )
            }
            Surrounding::Chamber => {
                let center = self.moved_with_head(self.get(Param::ChamberX), self.get(Param::ChamberY));
                let wall = plan(&self.chamber_outline, center.to_array(), self.get(Param::ChamberSize));
                Obstacle::plate(wall, thickness, thickness + self.get(Param::ChamberWallHeight))
            }
        }
    }
}

/// The one reading that says how large an outline is: a circle's diameter, a polygon's growth.
fn size(outline: &Outline) -> Reading<units::Length> {
    match &outline.shape {
        parts::Shape::Circle { diameter } => *diameter,
        parts::Shape::Polygon { growth, .. } => *growth,
    }
}

/// An outline with its three readings replaced by plain values.
fn plan(outline: &Outline, center: [f64; 2], size: f64) -> Plan {
    match &outline.shape {
        parts::Shape::Circle { .. } => Plan::Circle { center, radius: size / 2.0 },
        parts::Shape::Polygon { points, .. } => Plan::polygon(
            points.iter().map(|point| [point[0].value + center[0], point[1].value + center[1]]).collect(),
            size,
        ),
    }
}
