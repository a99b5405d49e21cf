//! What stands in the way of cam and springs: contacts that run out, springs that bind or do not keep up. Each with the
//! limit it is held against and where that comes from.

use motion::Rider;
use parts::Duty;
use parts::limit::{Check, Limits};
use units::angle::degree;
use units::angular_velocity::revolution_per_minute;
use units::length::{inch, millimeter};
use units::pressure::megapascal;
use units::{Length, show_both};

use crate::Status;
use crate::lift::{DutyLift, LiftAnswer, SpringsAnswer, duty_word};

/// Something that stands in the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Trouble {
    /// [`Status::Hits`] where it cannot work, [`Status::Tight`] where usual practice is not met.
    pub status: Status,
    /// Of which valves.
    pub duty: Duty,
    /// A phrase that begins with its subject.
    pub text: String,
}

/// Velocity that practice leaves on a flat tappet below its geometric limit: 0.0002 in a cam degree (common practice, no
/// source).
const FLAT_RESERVE_IN: f64 = 0.0002;
/// Pressure angle of roller followers, degrees: 30 to 35 at most (cam-design texts, from memory).
const PRESSURE_ANGLE_DEG: f64 = 35.0;
/// Contact pressures that lobes bear, MPa: chilled iron on a flat tappet 650 to 790, hardened steel under a roller 1400 to
/// 1650 (cam-design texts, from memory).
pub const FLAT_MPA: f64 = 790.0;
/// See [`FLAT_MPA`].
pub const ROUND_MPA: f64 = 1650.0;
/// Cam designers aim for lift-off a couple of hundred rpm above the highest speed (racing press).
const RESERVE_RPM: f64 = 200.0;
/// Springs with a surge frequency below eleven times the cam's are driven by strong harmonics (valve-spring practice, racing
/// press).
pub const LEAST_SURGE_ORDER: f64 = 11.0;

/// Everything that stands in the way, what cannot work first.
pub fn troubles(answer: &LiftAnswer, limits: &Limits) -> Vec<Trouble> {
    let mut found = Vec::new();
    for one in &answer.duties {
        of_lobe(one, &mut found);
        if let Some(Ok(springs)) = &one.springs {
            of_room(one, springs, limits, &mut found);
            of_speed(one, springs, answer, &mut found);
        }
    }
    found.sort_by_key(|trouble| u8::from(trouble.status != Status::Hits));
    found
}

fn of_lobe(one: &DutyLift, found: &mut Vec<Trouble>) {
    let word = duty_word(one.duty);
    let mut add = |status, text| found.push(Trouble { status, duty: one.duty, text });
    if let Some(flat) = &one.flat {
        let (gained, limit) = (per_degree(flat.per_cam_degree), per_degree(flat.limit));
        let text = format!("the {word} lobe lifts its flat tappet by {gained}, of {limit} its width allows");
        if flat.edge_margin < Length::default() {
            add(Status::Hits, text);
        } else if flat.limit - flat.per_cam_degree < Length::new::<inch>(FLAT_RESERVE_IN) {
            add(Status::Tight, text);
        }
    }
    let Some(surface) = &one.surface else { return };
    if surface.least_convex <= Length::default() {
        add(Status::Hits, format!("the {word} lobe comes to a point: no such lobe fits on its base circle"));
    }
    let pressure_angle = surface.pressure_angle.get::<degree>();
    if matches!(one.rider, Rider::Round { .. }) && pressure_angle > PRESSURE_ANGLE_DEG {
        let text = format!(
            "the {word} follower is pushed {pressure_angle:.1}° aslant, {PRESSURE_ANGLE_DEG:.0}° is usual at most"
        );
        add(Status::Tight, text);
    }
}

fn of_room(one: &DutyLift, springs: &SpringsAnswer, limits: &Limits, found: &mut Vec<Trouble>) {
    let word = duty_word(one.duty);
    let rooms = [
        (Check::CoilBind, springs.bind, "spring to coil bind"),
        (Check::RetainerToSeal, springs.seal, "retainer to its seal"),
    ];
    for (check, room, what) in rooms {
        let limit = limits.of(check).least;
        let Some(room) = room.filter(|room| *room < limit) else { continue };
        let status = if room < Length::default() { Status::Hits } else { Status::Tight };
        let text = format!("the {word} {what} has {} left, limit {}", show_both(room), show_both(limit));
        found.push(Trouble { status, duty: one.duty, text });
    }
}

fn of_speed(one: &DutyLift, springs: &SpringsAnswer, answer: &LiftAnswer, found: &mut Vec<Trouble>) {
    let word = duty_word(one.duty);
    let mut add = |status, text| found.push(Trouble { status, duty: one.duty, text });
    if let Some([_, at_speed]) = &springs.contact {
        let pressure = at_speed.pressure.get::<megapascal>();
        let limit = if one.rider == Rider::Flat { FLAT_MPA } else { ROUND_MPA };
        if pressure > limit {
            add(
                Status::Tight,
                format!("the {word} lobe bears {pressure:.0} MPa, {limit:.0} MPa is usual at most"),
            );
        }
    }
    let Some(revs) = answer.revs.map(|revs| revs.get::<revolution_per_minute>()) else { return };
    if let Some((lift_off, _)) = springs.lift_off {
        let rpm = lift_off.get::<revolution_per_minute>();
        let text = format!("the {word} train comes apart at {rpm:.0} rpm, asked for {revs:.0} rpm");
        if rpm < revs {
            add(Status::Hits, text);
        } else if rpm < revs + RESERVE_RPM {
            add(Status::Tight, text);
        }
    }
    for surge in springs.surges.iter().filter(|surge| surge.surge.order < LEAST_SURGE_ORDER) {
        let which = if surge.inner { "inner spring" } else { "spring" };
        let order = surge.surge.order;
        add(
            Status::Tight,
            format!(
                "the {word} {which} surges at {order:.1} times the cam's speed at {revs:.0} rpm, {LEAST_SURGE_ORDER:.0} is \
                 usual at least"
            ),
        );
    }
}

/// Lift gained in one cam degree: finer than lengths are shown elsewhere.
pub fn per_degree(gained: Length) -> String {
    format!("{:.3} mm ({:.5} in) a cam degree", gained.get::<millimeter>(), gained.get::<inch>())
}
