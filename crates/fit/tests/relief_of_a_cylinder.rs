//! Reliefs asked for a valve of a cylinder: from readings to cut, and what the cut leaves.

use fit::relief_cut::relief_cut;
use fit::relief_cutter::{Room, Shape};
use fit::relief_fly_cut::{Meeting, fly_cut};
use fit::relief_to_gasket::to_gasket_opening;
use fit::solid::{Obstacle, Plan};
use fit::{Scene, Surrounding, sweep};
use units::Length;
use units::length::millimeter;

mod invented;

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn square() -> Shape {
    Shape::Cutter { corner_radius: mm(0.0) }
}

#[test]
fn exact_a_valve_that_hits_clears_by_its_room_after_the_cut() {
    let room = Room { radial: mm(1.5), axial: mm(2.0), float: mm(0.5) };
    for (y, tilt) in [(24.0, 0.0), (23.5, 4.0), (24.5, -6.0)] {
        let cylinder = invented::cylinder(y, tilt);
        let valve = &cylinder.head.valves[0];
        let scene = Scene::new(&cylinder, valve);
        let (head, block) = (scene.valve(), scene.obstacle(Surrounding::Block));
        let before = sweep(&head, &block, Surrounding::Block, scene.travel_m());
        assert!(before.first_contact.is_some(), "at {y} mm and {tilt} degrees it clears already");
        let cut = relief_cut(&cylinder, valve, room, square()).expect("a possible cutter");
        assert!(cut.overhang() > mm(0.0) && cut.depth() > mm(0.0));
        let cut_block = Obstacle { cuts: vec![cut.cutter], ..block };
        let after = sweep(&head, &cut_block, Surrounding::Block, scene.travel_m()).least;
        assert!((after.distance_m - 1.5e-3).abs() < 1e-8, "{after:?}");
        // The opening is 0.7 mm over the bore; the cut goes farther.
        let margin = to_gasket_opening(&cut, &Plan::of(&cylinder.gasket.opening)).expect("the deck is cut");
        assert!(margin.left < mm(0.0), "{margin:?}");
    }
}

#[test]
fn exact_fly_cut_is_made_for_the_closest_meeting() {
    let cylinder = invented::cylinder(15.0, 0.0);
    let valve = &cylinder.head.valves[0];
    let room = Room { radial: mm(1.2), axial: mm(2.5), float: mm(0.0) };
    // Seated face 3.2 mm above the deck. Meetings leave 1.2, 0.9 and 1.7 mm above the crown.
    let meetings = [(1.5, 0.5), (2.0, 0.3), (2.5, -1.0)]
        .map(|(lift, crown)| Meeting { lift: mm(lift), crown: mm(crown) });
    let cut =
        fly_cut(&cylinder, valve, &meetings, room, square()).expect("a possible cutter").expect("meetings");
    // The valve leans by half a degree along the crank: lift and room go along the axis, the gap of 0.9 mm straight down.
    let axis = valve.axis();
    let expected = 4.5 - 2.9 / axis[2];
    assert!((cut.floor_depth() - mm(expected)).abs() < mm(1e-9), "{:?}", cut.floor_depth());
    assert!((cut.diameter() - mm(38.0 + 2.4)).abs() < mm(1e-9));
    assert!(!cut.is_empty());
    assert_eq!(fly_cut(&cylinder, valve, &[], room, square()), Ok(None));
    let shallow = Room { axial: mm(0.5), ..room };
    let none = fly_cut(&cylinder, valve, &meetings, shallow, square())
        .expect("a possible cutter")
        .expect("meetings");
    assert!(none.floor_depth() < mm(0.0), "0.9 mm is more than 0.5: the centre stays above the crown");
}
