//! A cylinder's readings as moving parts, and which pair of them answers which check. Leaves out what the gaps come to.

use fit::Scene;
use fit::drop_table::{Drop, DropTable};
use fit::lift_law::Lofted;
use fit::piston_edge_to_chamber::PistonTop;
use fit::piston_pose::rock_limit_rad;
use fit::scene::Surrounding;
use fit::solid::{Crown, CrownPart, Cup, Dome, Obstacle};
use fit::two_turns::{LeastGap, MovingParts, MovingValve, Pair, Way, gap_m};
use fit::two_turns_samples::least_near_m;
use fit::two_turns_scan::Dips;
use motion::{SliderCrank, ValveMotion};
use parts::limit::Check;
use parts::{Cylinder, Duty};

use crate::motions::Motions;
use crate::place::Surface;

/// A valve's lift with what is allowed for loft.
pub type Lift = Lofted<ValveMotion>;

/// Everything that moves over the piston of a cylinder; no valves where the motion of one is not known.
pub fn moving_parts(cylinder: &Cylinder, motions: &Motions) -> Result<MovingParts<Lift>, String> {
    let Cylinder { block, piston, head, .. } = cylinder;
    let crank = SliderCrank::new(block.stroke.value, block.rod_length.value, block.pin_offset.value)
        .map_err(|error| error.to_string())?;
    let known = head.valves.iter().all(|valve| motions.of(valve.duty).is_ok());
    let dome = piston.dome.as_ref().map(dome);
    let valves = head.valves.iter().filter(|_| known).map(|valve| {
        let mut cups: Vec<Cup> = piston.pockets_of(&valve.name).map(|pocket| cup(pocket, valve)).collect();
        let pocket = (!cups.is_empty()).then_some(0);
        cups.extend(piston.dish.as_ref().map(dish_cup));
        let loft = cylinder.gear.of(valve.duty).and_then(|gear| gear.train.loft);
        Ok(MovingValve {
            head: Scene::new(cylinder, valve).valve(),
            lift: Lofted {
                law: motions.of(valve.duty)?.clone(),
                loft_m: loft.map_or(0.0, |loft| loft.value.value),
            },
            pocket,
            crown: Crown::new(cups, dome),
        })
    });
    let radius_m = block.bore.value.value / 2.0 - piston.land_clearance.value.value;
    let pin_depth_m = piston.compression_height.value.value;
    Ok(MovingParts {
        crank,
        deck_offset_m: piston.deck_offset.value.value,
        rock_rad: rock_limit_rad(
            piston.skirt_clearance.value.value,
            piston.skirt_length.value.value,
            piston.land_clearance.value.value,
            pin_depth_m,
        ),
        // After the top the throw of an engine that turns clockwise, seen from the front, goes to the left: +y.
        pin_m: [block.pin_offset.value.value, pin_depth_m],
        top: PistonTop { radius_m, dome },
        head_face_m: cylinder.head_face_height().value,
        chamber: chamber_wall(cylinder),
        valves: valves.collect::<Result<_, String>>()?,
    })
}

/// The wall of the chamber; `None` where nobody traced it.
fn chamber_wall(cylinder: &Cylinder) -> Option<Obstacle> {
    let valve = cylinder.head.valves.first()?;
    let traced = !fit::gasket_edge::is_assumed(&cylinder.head.chamber);
    traced.then(|| Scene::new(cylinder, valve).obstacle(Surrounding::Chamber))
}

fn cup(pocket: &parts::Pocket, valve: &parts::Valve) -> Cup {
    Cup::new(
        pocket.x.value.value,
        pocket.y.value.value,
        pocket.depth.value.value,
        pocket.diameter.value.value / 2.0,
        pocket.tilt(valve).map(|tilt| tilt.value),
    )
}

fn dish_cup(dish: &parts::Dish) -> Cup {
    let radius_m = dish.diameter.value.value / 2.0;
    Cup::new(dish.x.value.value, dish.y.value.value, dish.depth.value.value, radius_m, [0.0; 2])
}

/// A plateau that tolerances have made as large as its base keeps a hair's breadth of slope.
fn dome(dome: &parts::Dome) -> Dome {
    let base_radius = dome.base_diameter.value.value / 2.0;
    let top_radius = (dome.top_diameter.value.value / 2.0).min(base_radius - LEAST_SLOPE_M);
    Dome { base_radius, top_radius, height: dome.height.value.value.max(LEAST_SLOPE_M) }
}

/// What is left of a dome's slope or height where tolerances leave none, in metres.
const LEAST_SLOPE_M: f64 = 1e-6;

/// The measured drops of the valve of a pair, where it has some, and the valve's number. They are taken along the valve, so
/// they stand for that way of its gap alone.
pub fn drop_table(
    parts: &MovingParts<Lift>,
    cylinder: &Cylinder,
    pair: Pair,
) -> Result<Option<(DropTable, usize)>, String> {
    let Pair::ValveToPiston(idx, Way::Axial) = pair else { return Ok(None) };
    let name = &cylinder.head.valves[idx].name;
    let rows: Vec<Drop> = cylinder
        .piston
        .drops
        .iter()
        .filter(|drop| drop.valve == *name)
        .map(|drop| Drop { from_top_deg: drop.after_tdc.value.degrees(), drop_m: drop.drop.value.value })
        .collect();
    if rows.is_empty() {
        return Ok(None);
    }
    let table = DropTable::new(parts.crank, rows);
    table.map(|table| Some((table, idx))).map_err(|error| format!("drops of the {name} valve: {error}"))
}

/// The gap of a pair at a crank angle, from measured drops where there are some. Drops that no table can be made of after a
/// tolerance moved them leave the pair to the crown.
pub fn pair_gap_m(parts: &MovingParts<Lift>, cylinder: &Cylinder, pair: Pair, crank_deg: f64) -> f64 {
    match drop_table(parts, cylinder, pair) {
        Ok(Some((table, idx))) => table.gap_m(&parts.valves[idx].lift, crank_deg),
        _ => gap_m(parts, pair, crank_deg),
    }
}

/// The least gap of a pair near its known dips, from measured drops where there are some.
pub fn pair_least_m(parts: &MovingParts<Lift>, cylinder: &Cylinder, dips: &Dips) -> f64 {
    match drop_table(parts, cylinder, dips.pair) {
        Ok(Some((table, idx))) => table.least(&parts.valves[idx].lift).gap_m,
        _ => least_near_m(parts, dips),
    }
}

/// The check a pair answers, with its valves; `None` for other ways to take the same gap.
pub fn asked(pair: Pair, cylinder: &Cylinder) -> Option<(Check, Option<usize>, Option<usize>)> {
    let duty = |idx: usize| cylinder.head.valves[idx].duty;
    match pair {
        // Along the valve is how the trade measures it: pushed open from its lift until it meets the piston.
        Pair::ValveToPiston(idx, Way::Axial) => {
            let check = match duty(idx) {
                Duty::Intake => Check::IntakeToPiston,
                Duty::Exhaust => Check::ExhaustToPiston,
            };
            Some((check, Some(idx), None))
        }
        Pair::ValveToPiston(idx, Way::Radial) => Some((Check::PocketRadial, Some(idx), None)),
        Pair::ValveToPiston(_, Way::Vertical | Way::Distance) => None,
        Pair::ValveToValve(one, two) => Some((Check::ValveToValve, Some(one), Some(two))),
        Pair::PistonToHead => Some((Check::PistonToHead, None, None)),
        Pair::PistonEdge => Some((Check::PistonEdge, None, None)),
    }
}

/// The surface a least gap is found on.
pub fn surface(least: &LeastGap) -> Surface {
    match (least.pair, least.part) {
        (Pair::ValveToValve(..), _) => Surface::OtherValve,
        (Pair::PistonToHead, _) => Surface::HeadFace,
        (Pair::PistonEdge, _) => Surface::ChamberEdge,
        (_, Some(CrownPart::Flat) | None) => Surface::Crown,
        (Pair::ValveToPiston(_, Way::Radial), _) => Surface::Pocket,
        (_, Some(_)) => Surface::Pocket,
    }
}
