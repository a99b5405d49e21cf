//! A cut in words: what the machinist sets, and what comes out. Leaves out whether it should be made.

use fit::relief_volume::Metal;
use units::angle::{degree, radian};
use units::length::meter;
use units::volume::cubic_centimeter;
use units::{Angle, Length, show_both};

use crate::cut_drawing::CutSheet;

/// Lines of text for a sheet, longest of them about a hundred letters.
pub fn cut_words(sheet: &CutSheet) -> Vec<String> {
    let m = Length::new::<meter>;
    let cutter = &sheet.cutter;
    let on_axis = cutter.end - cutter.axis * (cutter.end.z / cutter.axis.z);
    let level = if matches!(sheet.metal, Metal::Block { .. }) { "deck" } else { "crown" };
    let tilt = |along: f64| Angle::new::<radian>((along / cutter.axis.z).atan()).get::<degree>();
    let mut lines = vec![
        format!(
            "Cutter: {} diameter, {}{}.",
            show_both(m(2.0 * cutter.radius)),
            if cutter.corner > 0.0 {
                format!("{} corner radius", show_both(m(cutter.corner)))
            } else {
                "square corner".into()
            },
            layback(cutter.layback[0].asin()),
        ),
        format!("Axis through the {level}: {} of the bore's centre.", place(m(on_axis.x), m(on_axis.y)),),
        format!(
            "Upper end of the axis leans {:.2}° to the {}, {:.2}° to the {}. Plunge {} along it from the {level}.",
            tilt(cutter.axis.x).abs(),
            side(cutter.axis.x, ["front", "rear"]),
            tilt(cutter.axis.y).abs(),
            side(cutter.axis.y, ["left", "right"]),
            show_both(m(-cutter.end.z / cutter.axis.z)),
        ),
    ];
    lines.push(match &sheet.extent {
        None => "This cutter does not reach any metal.".into(),
        Some(extent) => format!(
            "Deepest {} below the {level}; reaches {} from the bore's centre; removes {:.3} cc.",
            show_both(m(-extent.lowest.z)),
            show_both(m(extent.farthest.truncate().length())),
            sheet.volume.get::<cubic_centimeter>(),
        ),
    });
    for dowel in &sheet.dowels {
        let from_dowel = place(-dowel.x, -dowel.y);
        lines.push(format!("Bore's centre from dowel {}: {from_dowel}.", dowel.name));
    }
    lines.extend(sheet.remarks.iter().cloned());
    lines
}

/// A place against another: how far to front or rear, how far to the left or right.
fn place(x: Length, y: Length) -> String {
    format!(
        "{} to the {}, {} to the {}",
        show_both(x.abs()),
        side(x.value, ["front", "rear"]),
        show_both(y.abs()),
        side(y.value, ["left", "right"]),
    )
}

fn side(value: f64, [positive, negative]: [&'static str; 2]) -> &'static str {
    if value < 0.0 { negative } else { positive }
}

fn layback(angle_rad: f64) -> String {
    let angle = Angle::new::<radian>(angle_rad).get::<degree>();
    if angle > 0.0 { format!(", wall laid back {angle:.1}° from the valve's axis") } else { String::new() }
}
