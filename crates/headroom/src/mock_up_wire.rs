//! [`Stand`] and the outlines of what stands as JSON: millimetres and degrees in the bore frame.

use parts::{Cylinder, Duty, Outline, Pocket, Shape, Valve};
use serde::Serialize;
use units::Length;
use units::length::millimeter;

use crate::finding::Status;
use crate::lift::duty_word;
use crate::mock_up::{GapNow, MockUp, Stand, ValveStands};
use crate::wire::{FORMAT, PlaceWire};

/// [`Stand`].
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct StandWire {
    cylinder: usize,
    /// Height of the crown's flat over the deck; null where crank and rod do not turn.
    crown_mm: Option<f64>,
    valves: Vec<ValveStandsWire>,
    gaps: Vec<GapNowWire>,
    /// The gap that is least clear of its limit over all cylinders.
    worst: Option<WorstWire>,
    /// The lift at which each valve first touches block, gasket or chamber, in the order of `valves`, null for one that
    /// never does; only where it was asked for.
    first_contact_lifts_mm: Option<Vec<Option<f64>>>,
    notes: Vec<String>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct ValveStandsWire {
    name: String,
    lift_mm: f64,
    face_center_mm: [f64; 3],
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct GapNowWire {
    check: &'static str,
    valve: Option<String>,
    other_valve: Option<String>,
    gap_mm: f64,
    limit_mm: f64,
    status: Status,
    place: PlaceWire,
    point_mm: [f64; 3],
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct WorstWire {
    cylinder: usize,
    check: &'static str,
    valve: Option<String>,
    gap_mm: f64,
    limit_mm: f64,
    status: Status,
}

/// What there is to draw of a build.
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct SceneWire {
    format: u32,
    name: String,
    cylinders: Vec<CylinderSceneWire>,
}

/// One cylinder, seen in its bore frame: x to the front, y to the left, z to the head, deck at z = 0.
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct CylinderSceneWire {
    number: usize,
    bore_diameter_mm: f64,
    chamfer_width_mm: f64,
    chamfer_depth_mm: f64,
    stroke_mm: f64,
    rod_length_mm: f64,
    pin_offset_mm: f64,
    gasket_thickness_mm: f64,
    gasket_opening: OutlineWire,
    chamber: OutlineWire,
    chamber_wall_height_mm: f64,
    head_shift_mm: [f64; 2],
    head_twist_deg: f64,
    valves: Vec<ValveSceneWire>,
    deck_offset_mm: f64,
    land_clearance_mm: f64,
    top_land_height_mm: f64,
    crown_volume_cc: f64,
    pockets: Vec<PocketSceneWire>,
    /// Crank degrees, even steps from 0 below 720, at which `lifts` are given.
    lift_step_deg: f64,
    /// Lift of the valves of each duty over the cycle, where a cam is known.
    lifts: Vec<LiftsWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct LiftsWire {
    duty: &'static str,
    lift_mm: Vec<f64>,
}

/// A circle, or a polygon by its corners with what the true line is larger all round.
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(tag = "shape", rename_all = "snake_case")]
enum OutlineWire {
    Circle { center_mm: [f64; 2], diameter_mm: f64, assumed: bool },
    Polygon { points_mm: Vec<[f64; 2]>, growth_mm: f64, assumed: bool },
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct ValveSceneWire {
    name: String,
    duty: &'static str,
    head_diameter_mm: f64,
    margin_mm: f64,
    seat_angle_deg: f64,
    stem_diameter_mm: f64,
    /// Seated face centre, with shift and twist of the head.
    seated_mm: [f64; 3],
    /// Unit vector from face to stem tip.
    axis: [f64; 3],
    lift_mm: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PocketSceneWire {
    valve: String,
    x_mm: f64,
    y_mm: f64,
    diameter_mm: f64,
    depth_mm: f64,
    tilt_x_deg: f64,
    tilt_y_deg: f64,
}

/// Lifts are given every so many crank degrees.
const LIFT_STEP_DEG: f64 = 2.0;

impl StandWire {
    /// How it stands, with the worst gap over all cylinders, and first contacts where they were asked for.
    pub fn new(
        stand: &Stand,
        worst: Option<&(usize, GapNow)>,
        first_contacts: Option<&[Option<Length>]>,
    ) -> Self {
        Self {
            cylinder: stand.cylinder,
            crown_mm: stand.crown.map(mm),
            valves: stand.valves.iter().map(ValveStandsWire::from).collect(),
            gaps: stand.gaps.iter().map(GapNowWire::from).collect(),
            worst: worst.map(|(cylinder, gap)| WorstWire {
                cylinder: *cylinder,
                check: gap.check.key(),
                valve: gap.valve.clone(),
                gap_mm: mm(gap.gap),
                limit_mm: mm(gap.limit),
                status: gap.status,
            }),
            first_contact_lifts_mm: first_contacts
                .map(|lifts| lifts.iter().map(|lift| lift.map(mm)).collect()),
            notes: stand.notes.clone(),
        }
    }
}

impl From<&ValveStands> for ValveStandsWire {
    fn from(valve: &ValveStands) -> Self {
        Self { name: valve.name.clone(), lift_mm: mm(valve.lift), face_center_mm: valve.face_center.map(mm) }
    }
}

impl From<&GapNow> for GapNowWire {
    fn from(gap: &GapNow) -> Self {
        Self {
            check: gap.check.key(),
            valve: gap.valve.clone(),
            other_valve: gap.other_valve.clone(),
            gap_mm: mm(gap.gap),
            limit_mm: mm(gap.limit),
            status: gap.status,
            place: PlaceWire::from(&gap.place),
            point_mm: gap.point.map(mm),
        }
    }
}

impl SceneWire {
    /// Everything to draw of a build made ready.
    pub fn new(name: &str, mock_up: &MockUp) -> Self {
        let cylinders = mock_up.cylinders().map(|cylinder| scene(cylinder, mock_up));
        Self { format: FORMAT, name: name.to_owned(), cylinders: cylinders.collect() }
    }
}

fn scene(cylinder: &Cylinder, mock_up: &MockUp) -> CylinderSceneWire {
    let Cylinder { number, block, gasket, head, piston, .. } = cylinder;
    CylinderSceneWire {
        number: *number,
        bore_diameter_mm: mm(block.bore.value),
        chamfer_width_mm: mm(block.chamfer_width.value),
        chamfer_depth_mm: mm(block.chamfer_depth.value),
        stroke_mm: mm(block.stroke.value),
        rod_length_mm: mm(block.rod_length.value),
        pin_offset_mm: mm(block.pin_offset.value),
        gasket_thickness_mm: mm(gasket.thickness.value),
        gasket_opening: outline(&gasket.opening, [0.0; 2], 0.0),
        chamber: outline(
            &head.chamber,
            [head.shift_x.value.value, head.shift_y.value.value],
            head.twist.value.value,
        ),
        chamber_wall_height_mm: mm(head.chamber_wall_height.value),
        head_shift_mm: [mm(head.shift_x.value), mm(head.shift_y.value)],
        head_twist_deg: rounded(head.twist.value.value.to_degrees()),
        valves: head.valves.iter().map(|valve| valve_scene(cylinder, valve)).collect(),
        deck_offset_mm: mm(piston.deck_offset.value),
        land_clearance_mm: mm(piston.land_clearance.value),
        top_land_height_mm: mm(piston.top_land_height.value),
        crown_volume_cc: rounded(piston.crown_volume.value.get::<units::volume::cubic_centimeter>()),
        pockets: piston.pockets.iter().map(PocketSceneWire::from).collect(),
        lift_step_deg: LIFT_STEP_DEG,
        lifts: [Duty::Intake, Duty::Exhaust]
            .into_iter()
            .filter_map(|duty| lifts(*number, duty, mock_up))
            .collect(),
    }
}

fn lifts(number: usize, duty: Duty, mock_up: &MockUp) -> Option<LiftsWire> {
    let motion = mock_up.motions(number)?.of(duty).ok()?;
    let n_steps = (720.0 / LIFT_STEP_DEG) as usize;
    let at = |step: usize| motion.lift_at(units::CrankAngle::from_degrees(step as f64 * LIFT_STEP_DEG));
    Some(LiftsWire { duty: duty_word(duty), lift_mm: (0..n_steps).map(|step| mm(at(step))).collect() })
}

/// An outline where it lies; a chamber goes with its head. Corners keep their own frame's directions: a head is twisted by
/// a fraction of a degree, which turns the centre and is left out of the shape, as in `fit::Scene`.
fn outline(outline: &Outline, shift_m: [f64; 2], twist_rad: f64) -> OutlineWire {
    let (sin, cos) = twist_rad.sin_cos();
    let (x, y) = (outline.center_x.value.value, outline.center_y.value.value);
    let center = [cos * x - sin * y + shift_m[0], sin * x + cos * y + shift_m[1]];
    let assumed = fit::gasket_edge::is_assumed(outline);
    match &outline.shape {
        Shape::Circle { diameter } => OutlineWire::Circle {
            center_mm: center.map(|m| rounded(1e3 * m)),
            diameter_mm: mm(diameter.value),
            assumed,
        },
        Shape::Polygon { points, growth } => OutlineWire::Polygon {
            points_mm: points
                .iter()
                .map(|[x, y]| [rounded(1e3 * (x.value + center[0])), rounded(1e3 * (y.value + center[1]))])
                .collect(),
            growth_mm: mm(growth.value),
            assumed,
        },
    }
}

fn valve_scene(cylinder: &Cylinder, valve: &Valve) -> ValveSceneWire {
    let head = fit::Scene::new(cylinder, valve).valve();
    ValveSceneWire {
        name: valve.name.clone(),
        duty: duty_word(valve.duty),
        head_diameter_mm: mm(valve.head_diameter.value),
        margin_mm: mm(valve.margin.value),
        seat_angle_deg: rounded(valve.seat_angle.value.value.to_degrees()),
        stem_diameter_mm: mm(valve.stem_diameter.value),
        seated_mm: head.seated.to_array().map(|m| rounded(1e3 * m)),
        axis: head.axis.to_array(),
        lift_mm: mm(valve.lift.value),
    }
}

impl From<&Pocket> for PocketSceneWire {
    fn from(pocket: &Pocket) -> Self {
        Self {
            valve: pocket.valve.clone(),
            x_mm: mm(pocket.x.value),
            y_mm: mm(pocket.y.value),
            diameter_mm: mm(pocket.diameter.value),
            depth_mm: mm(pocket.depth.value),
            tilt_x_deg: rounded(pocket.tilt_x.value.value.to_degrees()),
            tilt_y_deg: rounded(pocket.tilt_y.value.value.to_degrees()),
        }
    }
}

fn mm(length: Length) -> f64 {
    rounded(length.get::<millimeter>())
}

fn rounded(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}
