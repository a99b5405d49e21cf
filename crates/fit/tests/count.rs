use fit::distance::*;
use fit::solid::*;
use glam::DVec3;
use std::cell::Cell;
fn cpu() -> f64 {
    let s = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap();
    s.split(' ').next().unwrap().parse::<f64>().unwrap() / 1e3
}
#[test]
fn count() {
    let seated = DVec3::new(-0.003, 0.0275, 0.0021);
    let v = ValveHead::new(0.019, 0.0013, 0.785, 0.004, seated, [0.01, -0.05]);
    let b = Obstacle::block(0.0415, 0.0005, 0.0005);
    for lift in [0.001, 0.0031, 0.009] {
        for h in [0.0, 0.0013] {
            let n = Cell::new(0);
            let m = least_on_ring(&v.ring(lift, 0.019, h), b.bend(0.019, v.sin_lean()), f64::INFINITY, |p| {
                n.set(n.get() + 1);
                b.sloped_distance(p)
            });
            println!("{lift} {h} n {} {:?}", n.get(), m);
        }
        let t = cpu();
        let mut s = 0.0;
        for i in 0..20000 {
            s += fit::valve_to_metal::gap_m(&v, &b, lift + i as f64 * 1e-9);
        }
        println!("gap {:?} {s}", (cpu() - t) / 20000.0);
        let t = cpu();
        let mut s = 0.0;
        for i in 0..2000000 {
            s += b.sloped_distance(DVec3::new(0.03 + i as f64 * 1e-9, 0.01, 0.001)).0;
        }
        println!("sd {:?} {s}", (cpu() - t) / 2000000.0);
    }
}
