//! The slider-crank against an integration of the crank chain's rates: `checks/motion_slider_crank`.

use motion::SliderCrank;
use units::acceleration::meter_per_second_squared;
use units::angular_velocity::radian_per_second;
use units::length::millimeter;
use units::velocity::meter_per_second;
use units::{AngularVelocity, CrankAngle, Length};

const CASES: &str = include_str!("../../../checks/motion_slider_crank/cases.csv");
/// What is asked for; the integration itself is good to 2e-10.
const AGREES: f64 = 1e-9;

#[test]
fn exact_motion_agrees_with_integration() {
    let speed = AngularVelocity::new::<radian_per_second>(1.0);
    let mut n_cases = 0;
    for line in CASES.lines().skip(1) {
        let numbers: Vec<f64> =
            line.split(',').map(|text| text.parse().expect("a number in the check's file")).collect();
        let [stroke, rod, offset, deg, drop, per_rad, per_rad2] = numbers[..] else {
            panic!("seven columns: {line}");
        };
        let mm = |value| Length::new::<millimeter>(value);
        let crank = SliderCrank::new(mm(stroke), mm(rod), mm(offset)).expect("a crank that turns");
        let angle = CrankAngle::from_degrees(deg);
        let got = [
            crank.drop(angle).get::<millimeter>(),
            crank.velocity(angle, speed).get::<meter_per_second>() * 1e3,
            crank.acceleration(angle, speed).get::<meter_per_second_squared>() * 1e3,
        ];
        // Velocity and acceleration pass through zero: they are compared with the throw, their own order of size.
        let scales = [drop, 0.5 * stroke, 0.5 * stroke];
        for ((got, asked), scale) in got.into_iter().zip([drop, per_rad, per_rad2]).zip(scales) {
            let off = (got - asked).abs() / scale;
            assert!(off < AGREES, "{line}: {got} is off by {off}");
        }
        n_cases += 1;
    }
    assert_eq!(n_cases, 288);
}
