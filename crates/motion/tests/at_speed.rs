//! Springs, surge, tappet and contact of a whole invented valve train.

mod invented;

use std::f64::consts::TAU;

use invented::{centreline, heron_card, wren_card, wren_train};
use motion::{
    Contact, Material, Rider, SpringLoad, TrainState, ValveMotion, cam_surface, contact_peak, effective_mass,
    fit_lobe, flat_tappet, harmonic_share, lift_off_margin, lift_off_speed, surge, surge_frequency,
};
use parts::Duty;
use parts::spring::{Coil, CoilLoad, ValveSprings, Wire};
use units::angular_velocity::{radian_per_second, revolution_per_minute, revolution_per_second};
use units::force::newton;
use units::length::{inch, millimeter};
use units::mass::gram;
use units::pressure::megapascal;
use units::ratio::ratio;
use units::{AngularVelocity, CrankAngle, Force, Length, Mass, Ratio, Reading, SpringRate};

fn catalogue<Q: Default>(value: Q) -> Reading<Q> {
    Reading::catalogue(value, Q::default())
}

/// 110 lb on the seat, 296 lb/in, one spring of 90 g.
fn springs() -> ValveSprings {
    let rate = SpringRate::from_newtons_per_metre(51_838.0);
    let outer = Coil {
        installed_height: catalogue(Length::new::<inch>(1.75)),
        load: CoilLoad::Linear {
            seat_load: catalogue(Force::new::<newton>(490.0)),
            rate: Reading::catalogue(rate, rate * 0.05),
        },
        coil_bind_height: None,
        wire: Some(Wire {
            diameter: catalogue(Length::new::<inch>(0.2)),
            mean_diameter: catalogue(Length::new::<inch>(1.2)),
            active_coils: catalogue(Ratio::new::<ratio>(4.5)),
        }),
        mass: Some(catalogue(Mass::new::<gram>(90.0))),
    };
    ValveSprings { outer, inner: None, retainer_to_seal: None }
}

fn wren() -> ValveMotion {
    let fit = fit_lobe(Duty::Intake, &wren_card(centreline(106.0)), &wren_train()).expect("a lobe");
    ValveMotion::new(&fit, &wren_train(), TrainState::Hot).expect("a train")
}

/// Valve, retainer, rocker, a third of the spring, and pushrod and tappet over the ratio squared.
#[test]
fn exact_effective_mass() {
    let grams = effective_mass(&wren_train(), &springs()).get::<gram>();
    let by_hand = 115.0 + 30.0 + 40.0 + 90.0 / 3.0 + (55.0 + 100.0) / 1.5f64.powi(2);
    assert!((grams - by_hand).abs() < 1e-9, "{grams}");
}

/// At the speed where the margin is gone, the margin is nothing, a little below it is positive, and it falls with the
/// square of the speed.
#[test]
fn exact_margin_is_gone_at_its_speed() {
    let (motion, load) = (wren(), SpringLoad::new(&springs()).expect("springs"));
    let mass = effective_mass(&wren_train(), &springs());
    let (speed, at) = lift_off_speed(&motion, &load, mass).expect("a speed");
    let rpm = speed.get::<revolution_per_minute>();
    assert!((5000.0..9000.0).contains(&rpm), "{rpm}");
    let margin = |share: f64| lift_off_margin(&motion, &load, mass, speed * share);
    assert!(margin(1.0).force.get::<newton>().abs() < 1e-6);
    assert!((margin(1.0).at.degrees() - at.degrees()).abs() < 0.01);
    assert!(margin(0.99).force.get::<newton>() > 0.0 && margin(1.01).force.get::<newton>() < 0.0);
    // F + m a at the nose, by hand: float where y'' (6 N)^2 m exceeds the spring, N in turns of the cam a minute.
    let nose = motion.jet_at(motion.nose());
    let cam_rpm = rpm / 2.0;
    let per_cam_deg2 = nose.per_deg2.value * 4.0;
    let inertia = -mass.value * per_cam_deg2 * (6.0 * cam_rpm).powi(2);
    assert!(inertia <= load.at(nose.lift).get::<newton>() * 1.000_001);
}

/// Acceleration and velocity at speed are the differences of lift over time.
#[test]
fn exact_velocity_and_acceleration() {
    let motion = wren();
    let speed = AngularVelocity::new::<revolution_per_minute>(6000.0);
    let per_s = speed.get::<radian_per_second>().to_degrees();
    for deg in [370.0, 420.0, 455.0, 500.0, 560.0] {
        let h = 1e-3;
        let at = |deg: f64| motion.lift_at(CrankAngle::from_degrees(deg)).value;
        let velocity = (at(deg + h) - at(deg - h)) / (2.0 * h) * per_s;
        let got = motion.velocity(CrankAngle::from_degrees(deg), speed).value;
        assert!((got - velocity).abs() < 1e-6 * velocity.abs().max(1.0), "{deg}: {got} {velocity}");
        let v = |deg: f64| motion.velocity(CrankAngle::from_degrees(deg), speed).value;
        let acceleration = (v(deg + h) - v(deg - h)) / (2.0 * h) * per_s;
        let got = motion.acceleration(CrankAngle::from_degrees(deg), speed).value;
        assert!(
            (got - acceleration).abs() < 1e-6 * acceleration.abs().max(1.0),
            "{deg}: {got} {acceleration}"
        );
    }
}

/// 434 Hz against a cam turning at 3500 a minute: order 7.4. The harmonics fall off, and a pure cosine has only one.
#[test]
fn exact_surge_orders() {
    let motion = wren();
    let frequency = surge_frequency(&springs().outer).expect("a wire");
    let speed = AngularVelocity::new::<revolution_per_minute>(7000.0);
    let found = surge(&motion, frequency, speed);
    let order = frequency.get::<revolution_per_second>() / (3500.0 / 60.0);
    assert!((found.order - order).abs() < 1e-9 && found.harmonic == 7);
    // At the resonance the harmonic hits it: harmonic x cam frequency = surge frequency.
    let cam_hz = found.resonance.get::<radian_per_second>() / (2.0 * TAU);
    assert!((cam_hz * 7.0 / frequency.get::<revolution_per_second>() - 1.0).abs() < 1e-12);
    // Parseval: mean square of the lift is the sum of half the squared amplitudes and the mean squared.
    let table = motion.table(1440);
    let greatest = motion.greatest_lift().value;
    let mean = table.lift_m.iter().sum::<f64>() / 1440.0 / greatest;
    let square = table.lift_m.iter().map(|l| (l / greatest).powi(2)).sum::<f64>() / 1440.0;
    let harmonics: f64 = (1..=60).map(|n| harmonic_share(&motion, n).powi(2) / 2.0).sum();
    assert!((mean * mean + harmonics - square).abs() < 1e-8, "{} {square}", mean * mean + harmonics);
}

/// 0.842 in allows 0.00735 in/deg; the lobe gains 0.0075 on one flank, so the contact runs off the edge by a hair.
#[test]
fn exact_flat_tappet_edge() {
    let motion = wren();
    let narrow = flat_tappet(motion.lobe(), Length::new::<inch>(0.842));
    assert!((narrow.limit.get::<inch>() - 0.00735).abs() < 5e-6);
    assert!(narrow.per_cam_degree > narrow.limit && narrow.edge_margin < Length::default());
    let wide = flat_tappet(motion.lobe(), Length::new::<inch>(0.904));
    assert!(wide.edge_margin > Length::default());
    let reach = wide.per_cam_degree * 1f64.to_degrees();
    assert!((wide.edge_margin + reach - Length::new::<inch>(0.452)).value.abs() < 1e-12);
}

#[test]
fn exact_surface_and_contact_are_of_the_usual_size() {
    let fit = fit_lobe(Duty::Exhaust, &heron_card(centreline(112.0)), &wren_train()).expect("a lobe");
    let motion = ValveMotion::new(&fit, &wren_train(), TrainState::Hot).expect("a train");
    let base_radius = Length::new::<millimeter>(16.0);
    let rider = Rider::Round { radius: Length::new::<millimeter>(9.5) };
    let surface = cam_surface(motion.lobe(), base_radius, rider);
    let lean = surface.pressure_angle.get::<units::angle::degree>();
    assert!((15.0..35.0).contains(&lean), "{lean}");
    assert!(surface.least_convex > Length::default());
    let steel = Material::steel();
    let contact =
        Contact { base_radius, rider, width: Length::new::<millimeter>(12.0), materials: (steel, steel) };
    let load = SpringLoad::new(&springs()).expect("springs");
    let mass = effective_mass(&wren_train(), &springs());
    let still = AngularVelocity::default();
    let peak = contact_peak(&motion, &contact, &load, mass, still).expect("opens");
    // At a standstill the nose is worst: highest load on the sharpest place.
    assert!((peak.at.degrees() - motion.nose().degrees()).abs() <= 20.0, "{}", peak.at.degrees());
    assert!((500.0..1500.0).contains(&peak.pressure.get::<megapascal>()), "{:?}", peak.pressure);
}
