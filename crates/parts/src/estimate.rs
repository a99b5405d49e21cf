//! What is taken for a reading that nobody gave: each with its rule, its honest (wide) tolerance and its source.
//!
//! Every function returns a reading with basis `assumed`. [`rule`] gives the sentence that is printed beside it.

use units::angle::degree;
use units::length::{inch, millimeter};
use units::mass::gram;
use units::volume::cubic_meter;
use units::{Angle, CrankAngle, Length, Mass, Reading, Volume};

use crate::{Outline, Shape};

fn mm(value: f64, tolerance: f64) -> Reading<Length> {
    Reading::assumed(Length::new::<millimeter>(value), Length::new::<millimeter>(tolerance))
}

fn deg(value: f64, tolerance: f64) -> Reading<Angle> {
    Reading::assumed(Angle::new::<degree>(value), Angle::new::<degree>(tolerance))
}

/// Rod length of 1.75 strokes, ± 0.25 strokes: production rods run from 1.5 to 2.0 (common practice, no source).
pub fn rod_length(stroke: Length) -> Reading<Length> {
    Reading::assumed(stroke * 1.75, stroke * 0.25)
}

/// No pin offset, ± 1 mm: production pistons carry up to about 1 mm (common practice, no source).
pub fn pin_offset() -> Reading<Length> {
    mm(0.0, 1.0)
}

/// A lead-in chamfer of 0.5 mm by 0.5 mm, ± 0.4 mm. Practice keeps it between 0.5 and 1.0 mm at 30 to 45 degrees
/// (common practice, no source); the smaller figure is the safer one for the valve.
pub fn chamfer() -> Reading<Length> {
    mm(0.5, 0.4)
}

/// Gasket opening 1.3 mm (0.050 in) over the bore, ± 1.3 mm. Recommended openings are 0.030 to 0.060 in over the
/// bore, stock composite ones 0.100 in (gasket makers' advice).
pub fn gasket_opening(bore: Length) -> Reading<Length> {
    Reading::assumed(bore + Length::new::<inch>(0.050), Length::new::<inch>(0.050))
}

/// An outline that is centred on the bore, ± 0.4 mm.
pub fn outline_center() -> Reading<Length> {
    mm(0.0, 0.4)
}

/// A traced outline true to ± 0.3 mm (common practice, no source).
pub fn outline_growth() -> Reading<Length> {
    mm(0.0, 0.3)
}

/// Compressed gasket thickness of 1.0 mm (0.040 in), ± 0.4 mm: embossed steel gaskets run from 0.7 to 1.5 mm,
/// composite ones from 1.0 to 1.4 mm (makers' catalogues, common practice).
pub fn gasket_thickness() -> Reading<Length> {
    mm(1.0, 0.4)
}

/// Chamber outline: a circle of the gasket opening's size about the bore axis, ± 3 mm, so that the chamber wall
/// neither hides a contact nor invents one where nothing was measured.
pub fn chamber_outline(bore: Length) -> Outline {
    let diameter = Reading::assumed(bore, Length::new::<millimeter>(3.0));
    Outline { center_x: outline_center(), center_y: outline_center(), shape: Shape::Circle { diameter } }
}

/// The chamber wall stands straight up for 2 mm, ± 2 mm (common practice, no source).
pub fn chamber_wall_height() -> Reading<Length> {
    mm(2.0, 2.0)
}

/// The head sits where the dowels say, ± 0.13 mm (0.005 in) either way: slop of dowel in hole is 0.05 to 0.25 mm
/// (common practice, no source).
pub fn head_shift() -> Reading<Length> {
    mm(0.0, 0.13)
}

/// The head is not turned, ± 0.05 degrees: the dowel slop over the spread of two dowels 200 mm apart.
pub fn head_twist() -> Reading<Angle> {
    deg(0.0, 0.05)
}

/// Valve margin of 1.2 mm, ± 0.5 mm: new intake valves about 1 mm, exhaust about 1.5 mm (common practice, no source).
pub fn valve_margin() -> Reading<Length> {
    mm(1.2, 0.5)
}

/// A 45 degree seat, ± 1 degree (common practice, no source).
pub fn seat_angle() -> Reading<Angle> {
    deg(45.0, 1.0)
}

/// Stem of 0.2 head diameters, ± 0.06 head diameters: 8 to 9 mm on 40 to 45 mm valves, 5 to 6 mm on small
/// four-valve ones (common practice, no source).
pub fn stem_diameter(head_diameter: Length) -> Reading<Length> {
    Reading::assumed(head_diameter * 0.2, head_diameter * 0.06)
}

/// The face sits level with the head's gasket face, ± 2 mm. Seats of wedge and pent-roof chambers lie some millimetres
/// up, flat heads level; level is the safer figure for the block (common practice, no source).
pub fn valve_recess() -> Reading<Length> {
    mm(0.0, 2.0)
}

/// The valve stands upright, ± 1 degree (trade practice holds unmeasured angles to about 1 degree; common practice,
/// no source).
pub fn valve_tilt() -> Reading<Angle> {
    deg(0.0, 1.0)
}

/// The crown stands 0.5 mm (0.020 in) in the hole, ± 0.5 mm: production decks often leave about 0.025 in (engine
/// machining press).
pub fn deck_offset() -> Reading<Length> {
    mm(-0.5, 0.5)
}

/// A flat crown, ± 3 cc (common practice, no source).
pub fn crown_volume() -> Reading<Volume> {
    Reading::assumed(Volume::default(), Volume::new::<cubic_meter>(3.0e-6))
}

/// The top land clears the bore by 0.38 mm (0.015 in) a side, ± 0.15 mm: the figure of a published compression
/// worksheet for a 4.03 in bore (racing press).
pub fn land_clearance() -> Reading<Length> {
    mm(0.38, 0.15)
}

/// The pin sits 0.4 bores below the crown, ± 0.08 bores (common practice, no source).
pub fn compression_height(bore: Length) -> Reading<Length> {
    Reading::assumed(bore * 0.4, bore * 0.08)
}

/// The skirt clears the bore by 0.08 mm (0.003 in) on the diameter, ± 0.05 mm: cast pistons 0.001 to 0.002 in, forged
/// ones 0.003 to 0.005 in (common practice, no source).
pub fn skirt_clearance() -> Reading<Length> {
    mm(0.08, 0.05)
}

/// Skirt and lands guide over 0.5 bores, ± 0.15 bores: slippers from 0.35, old road pistons up to 0.7 (common practice,
/// no source).
pub fn skirt_length(bore: Length) -> Reading<Length> {
    Reading::assumed(bore * 0.5, bore * 0.15)
}

/// A dish that is centred on the bore, ± 0.2 mm (common practice, no source).
pub fn dish_center() -> Reading<Length> {
    mm(0.0, 0.2)
}

/// A pocket was cut along its valve, ± 0.5 degrees: the cutter is led by the valve guide or set to the head's angle
/// (common practice, no source).
pub fn pocket_from_valve() -> Reading<Angle> {
    deg(0.0, 0.5)
}

/// A top land of 6 mm, ± 2.5 mm: older road pistons 6.4 to 8.9 mm, modern ones 3 to 6 mm (common practice, no source).
pub fn top_land_height() -> Reading<Length> {
    mm(6.0, 2.5)
}

/// Installed as ground, ± 2 crank degrees: what keyway, dowel and chain usually leave until somebody puts a degree wheel
/// on (common practice, no source).
pub fn installed_advance() -> Reading<CrankAngle> {
    Reading::assumed(CrankAngle::from_degrees(0.0), CrankAngle::from_degrees(2.0))
}

/// A steel valve of 118 g at 2.02 in (51.3 mm), in proportion to the square of its head, ± 30 %: steel valves of that
/// size weigh 110 to 125 g (common practice, no source); titanium ones two thirds of it.
pub fn valve_mass(head_diameter: Length) -> Reading<Mass> {
    let share = (head_diameter.get::<millimeter>() / 51.3).powi(2);
    let grams = Mass::new::<gram>(118.0 * share);
    Reading::assumed(grams, grams * 0.3)
}

/// Retainer and locks of steel, 30 g ± 10: steel retainers weigh 25 to 35 g, titanium ones 12 to 18 g (common practice,
/// no source).
pub fn retainer_mass() -> Reading<Mass> {
    Reading::assumed(Mass::new::<gram>(30.0), Mass::new::<gram>(10.0))
}

/// A flat tappet of 0.842 in (21.4 mm), ± 1.6 mm: the smallest of the usual 0.842, 0.875 and 0.904 in (common practice,
/// no source), which allows the least velocity.
pub fn face_diameter() -> Reading<Length> {
    mm(21.4, 1.6)
}

/// A roller of 0.700 in across, radius 8.9 mm ± 1: usual wheels are 0.700 to 0.850 in (common practice, no source).
pub fn roller_radius() -> Reading<Length> {
    mm(8.9, 1.0)
}

/// A finger's pad or roller of 12 mm radius, ± 5 mm (common practice, no source).
pub fn pad_radius() -> Reading<Length> {
    mm(12.0, 5.0)
}

/// No lash, ± 0.1 mm, where none is given: the valve then opens as far and as long as it can (common practice, no
/// source).
pub fn lash() -> Reading<Length> {
    mm(0.0, 0.1)
}

/// A hydraulic element's plunger travels 4 mm in all, ± 2 mm (0.100 to 0.200 in; common practice, no source).
pub fn plunger_travel() -> Reading<Length> {
    mm(4.0, 2.0)
}

/// A running piston stands 0.030 in higher than by hand, ± 0.0075 in: the upper end of the 0.015 to 0.030 in that pistons
/// rise with steel rods (derived, and common practice, no source).
pub fn piston_growth() -> Reading<Length> {
    Reading::assumed(Length::new::<inch>(0.030), Length::new::<inch>(0.0075))
}

/// A cutter's corner of 1 mm, ± 0.5 mm, so that no sharp inner corner is left (common practice, no source).
pub fn cutter_corner() -> Reading<Length> {
    mm(1.0, 0.5)
}

/// A cut that is set up on its valve's axis lands within 0.15 mm of it (common practice, no source).
pub fn cut_setup() -> Length {
    Length::new::<millimeter>(0.15)
}

/// The sentence printed beside an assumed reading, by the last word of its path; `None` for readings that are never
/// assumed.
pub fn rule(path: &str) -> Option<&'static str> {
    if let Some(rule) = crate::estimate_running::rule(path) {
        return Some(rule);
    }
    let name = path.rsplit('.').next().unwrap_or(path);
    Some(match name {
        "tilt_x" | "tilt_y" if path.contains("pocket.") => "cut along its valve",
        "x" | "y" if path.contains("dish.") => "centred on the bore",
        "rod_length" => "1.75 strokes",
        "pin_offset" => "no pin offset",
        "chamfer_width" | "chamfer_depth" => "the smaller of usual lead-in chamfers",
        "opening" => "bore plus 1.3 mm (0.050 in)",
        "chamber_diameter" => "the bore's own circle",
        "opening_x" | "opening_y" | "chamber_x" | "chamber_y" => "centred on the bore",
        "thickness" => "a usual compressed gasket",
        "chamber_wall_height" => "a short upright wall",
        "shift_x" | "shift_y" | "twist" => "where the dowels say, with their usual slop",
        "margin" => "a usual margin",
        "seat_angle" => "a 45 degree seat",
        "stem_diameter" => "0.2 head diameters",
        "recess" => "level with the gasket face",
        "tilt_x" | "tilt_y" => "upright",
        "x" | "y" => "on its valve's axis",
        "corner_radius" => "a usual cutter's corner",
        "deck_offset" => "a usual production deck",
        "crown_volume" => "a flat crown",
        "land_clearance" => "a usual forged piston",
        "top_land_height" => "between old and modern pistons",
        "compression_height" => "0.4 bores",
        "skirt_clearance" => "between cast and forged pistons",
        "skirt_length" => "0.5 bores",
        "valve_mass" => "a steel valve of that head",
        "retainer_mass" => "steel retainer and locks",
        "face_diameter" => "the smallest of usual flat tappets",
        "roller_radius" => "a usual roller",
        "pad_radius" => "a usual finger",
        "lash_cold" => "no lash",
        "plunger_travel" => "a usual hydraulic element",
        "installed_advance" => "installed as ground",
        _ => return None,
    })
}
