//! A build of the few numbers a catalogue gives: bore, stroke, cylinders, compression and how the valves lie. Everything
//! else is estimated.

use parts::estimate_running::ValveLayout;
use parts::limit::Limits;
use parts::running::{Band, Running};
use parts::{
    Block, Build, Cylinder, Duty, Engine, Gasket, Gear, Head, Outline, Piston, Use, Valve, estimate,
};
use units::angular_velocity::revolution_per_minute;
use units::{Angle, AngularVelocity, Length, Quantity, Reading, Volume};
use volume::{clearance_volumes, swept_volume};

/// What a catalogue says of an engine.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// What people call it.
    pub name: String,
    /// Number of cylinders.
    pub n_cylinders: usize,
    /// Rows of them.
    pub banks: usize,
    /// Bore, m.
    pub bore_m: f64,
    /// Stroke, m.
    pub stroke_m: f64,
    /// Compression ratio.
    pub compression: f64,
    /// How the valves lie.
    pub valves: ValveLayout,
    /// Speed of most power, when it is known, rpm.
    pub rated_rpm: Option<f64>,
    /// Year of design.
    pub year: Option<u32>,
}

/// Largest lift over bore. J. B. Heywood (1988), "Internal Combustion Engine Fundamentals", section 6.3.1: about 12 % of
/// the bore; from memory.
const LIFT_OVER_BORE: f64 = 0.12;

/// Where the valves of one duty stand and how large they are, in bores; tilt in degrees.
struct Placed {
    head: f64,
    x: &'static [f64],
    y: f64,
    tilt_y: f64,
}

/// Head diameters are the middles of J. B. Heywood (1988), table 6.1 (from memory), over the bore: wedge and bathtub
/// intake 0.43 to 0.46, exhaust 0.35 to 0.37; hemispherical 0.48 to 0.50 and 0.41 to 0.43; four-valve pent-roof 0.35 to
/// 0.37 and 0.28 to 0.32. Places and tilts so that they fit into the bore (common practice, no source).
fn placed(layout: ValveLayout, duty: Duty) -> Placed {
    match (layout, duty) {
        (ValveLayout::Parallel, Duty::Intake) => Placed { head: 0.445, x: &[0.24], y: 0.0, tilt_y: 0.0 },
        (ValveLayout::Parallel, Duty::Exhaust) => Placed { head: 0.36, x: &[-0.26], y: 0.0, tilt_y: 0.0 },
        (ValveLayout::Inclined, Duty::Intake) => Placed { head: 0.49, x: &[0.0], y: 0.24, tilt_y: 22.0 },
        (ValveLayout::Inclined, Duty::Exhaust) => Placed { head: 0.42, x: &[0.0], y: -0.26, tilt_y: -22.0 },
        (ValveLayout::Multi, Duty::Intake) => Placed { head: 0.36, x: &[0.2, -0.2], y: 0.2, tilt_y: 12.0 },
        (ValveLayout::Multi, Duty::Exhaust) => {
            Placed { head: 0.30, x: &[0.19, -0.19], y: -0.21, tilt_y: -12.0 }
        }
    }
}

/// The build. Its chamber is as large as the compression ratio asks for beside the estimated gasket, deck and land.
pub fn from_layout(layout: &Layout) -> Build {
    let cylinders = (1..=layout.n_cylinders.max(1)).map(|number| cylinder(layout, number)).collect();
    let speed = |rpm: f64| {
        let of = AngularVelocity::new::<revolution_per_minute>;
        Reading::catalogue(of(rpm), of(0.0))
    };
    let band = Band { to: layout.rated_rpm.map(speed), ..Band::default() };
    Build {
        name: layout.name.clone(),
        note: None,
        engine: Engine { banks: layout.banks.max(1) },
        used: Use::default(),
        cylinders,
        limits: Limits::default(),
        running: Running { year: layout.year, band, ..Running::default() },
    }
}

fn stated(m: f64) -> Reading<Length> {
    // Catalogues round to 0.1 mm or 0.01 in.
    Reading::catalogue(Length::from_si(m), Length::from_si(0.1e-3))
}

fn cylinder(layout: &Layout, number: usize) -> Cylinder {
    let bore = Length::from_si(layout.bore_m);
    let stroke = Length::from_si(layout.stroke_m);
    let block = Block {
        bore: stated(layout.bore_m),
        stroke: stated(layout.stroke_m),
        rod_length: estimate::rod_length(stroke),
        pin_offset: estimate::pin_offset(),
        chamfer_width: estimate::chamfer(),
        chamfer_depth: estimate::chamfer(),
        bore_spacing: None,
        reliefs: Vec::new(),
        metal: parts::DeckMetal::default(),
    };
    let gasket = Gasket {
        thickness: estimate::gasket_thickness(),
        opening: Outline::centred_circle(estimate::gasket_opening(bore)),
        ring_inset: None,
        ring_width: None,
    };
    let valves = [Duty::Intake, Duty::Exhaust].into_iter().flat_map(|duty| valves(layout, duty)).collect();
    let head = Head {
        chamber_volume: Reading::assumed(Volume::default(), Volume::default()),
        chamber: estimate::chamber_outline(bore),
        chamber_wall_height: estimate::chamber_wall_height(),
        shift_x: estimate::head_shift(),
        shift_y: estimate::head_shift(),
        twist: estimate::head_twist(),
        bore_spacing: None,
        valves,
    };
    let piston = Piston {
        deck_offset: estimate::deck_offset(),
        crown_volume: estimate::crown_volume(),
        land_clearance: estimate::land_clearance(),
        top_land_height: estimate::top_land_height(),
        compression_height: estimate::compression_height(bore),
        skirt_clearance: estimate::skirt_clearance(),
        skirt_length: estimate::skirt_length(bore),
        dome: None,
        dish: None,
        pockets: Vec::new(),
        fly_cuts: Vec::new(),
        fly_cut_volume: None,
        metal: parts::CrownMetal::default(),
        drops: Vec::new(),
    };
    let mut cylinder = Cylinder { number, block, gasket, head, piston, gear: Gear::default() };
    let whole = swept_volume(&cylinder.block) / (layout.compression - 1.0);
    let others = clearance_volumes(&cylinder).total();
    cylinder.head.chamber_volume = Reading::assumed(whole - others, whole * 0.03);
    cylinder
}

fn valves(layout: &Layout, duty: Duty) -> Vec<Valve> {
    let Placed { head, x, y, tilt_y } = placed(layout.valves, duty);
    let of_bore = |share: f64, off: f64| {
        Reading::assumed(Length::from_si(share * layout.bore_m), Length::from_si(off * layout.bore_m))
    };
    let head_diameter = of_bore(head, 0.02);
    let word = match duty {
        Duty::Intake => "intake",
        Duty::Exhaust => "exhaust",
    };
    let name = |idx: usize| if x.len() == 1 { word.to_owned() } else { format!("{word}_{}", idx + 1) };
    let degrees = |value: f64| Angle::new::<units::angle::degree>(value);
    x.iter()
        .enumerate()
        .map(|(idx, &x)| Valve {
            name: name(idx),
            duty,
            head_diameter,
            margin: estimate::valve_margin(),
            seat_angle: estimate::seat_angle(),
            stem_diameter: estimate::stem_diameter(head_diameter.value),
            x: of_bore(x, 0.03),
            y: of_bore(y, 0.03),
            recess: estimate::valve_recess(),
            tilt_x: estimate::valve_tilt(),
            tilt_y: Reading::assumed(degrees(tilt_y), degrees(4.0)),
            lift: of_bore(LIFT_OVER_BORE, 0.015),
            contact_lift: None,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use volume::static_compression;

    #[test]
    fn exact_compression_is_what_was_asked_for_and_valves_lie_within_the_bore() {
        for valves in [ValveLayout::Parallel, ValveLayout::Inclined, ValveLayout::Multi] {
            let layout = Layout {
                name: "any".to_owned(),
                n_cylinders: 4,
                banks: 1,
                bore_m: 0.086,
                stroke_m: 0.086,
                compression: 9.2,
                valves,
                rated_rpm: None,
                year: None,
            };
            let build = from_layout(&layout);
            for cylinder in &build.cylinders {
                assert!((static_compression(cylinder) - 9.2).abs() < 1e-9);
                for valve in &cylinder.head.valves {
                    let off = valve.x.value.si().hypot(valve.y.value.si());
                    assert!(off + 0.5 * valve.head_diameter.value.si() < 0.5 * 0.086, "{}", valve.name);
                }
            }
            assert_eq!(parts::estimate_running::EngineSize::of(&build).layout, valves);
        }
    }
}
