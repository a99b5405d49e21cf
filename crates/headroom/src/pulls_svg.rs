//! A picture of a comparison: every pull over speed, and what B gained over A with its interval, as SVG that stands by itself.
//! Leaves out the numbers, which are those of [`pulls::Comparison`].

use std::fmt::Write as _;

use pulls::compare::Comparison;
use pulls::{Curve, Group, Measure};
use units::power::kilowatt;
use units::torque::newton_meter;
use units::{Power, Quantity, Torque, UnitSystem};

use crate::pulls_words;
use crate::svg_axis::{escaped, text};
use crate::svg_panel::{Frame, Panel};

/// Size of the picture, in pixels.
const WIDTH: f64 = 960.0;
const LEFT: f64 = 92.0;
const RIGHT: f64 = 24.0;
const TOP: f64 = 92.0;
const CURVES: f64 = 340.0;
const BETWEEN: f64 = 40.0;
const GAINS: f64 = 200.0;
const FOOT: f64 = 64.0;
/// Size of the letters, as in [`STYLE`].
const LETTERS: f64 = 13.0;

/// The base blue and whole, the base again blue and dotted, the change red and dashed: colour is never alone. A dark page gets
/// a dark ground.
const STYLE: &str = "
  .ground { fill: #ffffff; }
  text { fill: #1d2733; font-family: system-ui, sans-serif; font-size: 13px; }
  text.title { font-size: 16px; font-weight: 600; }
  line { stroke: #d5dbe1; stroke-width: 1; }
  line.zero { stroke: #5d6873; stroke-width: 1.5; }
  polyline { fill: none; stroke-width: 1.6; stroke-linejoin: round; }
  .A { stroke: #1f62b0; }
  .A2 { stroke: #1f62b0; stroke-dasharray: 2 4; }
  .B { stroke: #b5381d; stroke-dasharray: 9 4; }
  .gain { stroke: #1d2733; stroke-width: 2; }
  .interval { fill: #8d99a5; fill-opacity: 0.35; stroke: none; }
  @media (prefers-color-scheme: dark) {
    .ground { fill: #14191f; }
    text { fill: #dce3ea; }
    line { stroke: #323b45; }
    line.zero { stroke: #9aa5b0; }
    .A, .A2 { stroke: #75b0f2; }
    .B { stroke: #f0876c; }
    .gain { stroke: #dce3ea; }
  }
";

/// A panel across the page.
fn frame(top: f64, height: f64) -> Frame {
    Frame { left: LEFT, right: WIDTH - RIGHT, top, height, letters: LETTERS }
}

/// Draws it.
pub fn svg(comparison: &Comparison, system: UnitSystem) -> String {
    let height = TOP + CURVES + FOOT + if comparison.by_speed.is_empty() { 0.0 } else { BETWEEN + GAINS };
    let verdict = pulls_words::verdict(comparison, system);
    let title = verdict.first().map_or("", String::as_str);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" aria-label=\"{}\">\n\
         <style>{STYLE}</style>\n<rect class=\"ground\" width=\"{WIDTH}\" height=\"{height}\"/>\n",
        escaped(title)
    );
    let _ = writeln!(out, "<text class=\"title\" x=\"{LEFT}\" y=\"28\">{}</text>", escaped(title));
    legend(&mut out, comparison);
    draw_curves(&mut out, comparison, system);
    if !comparison.by_speed.is_empty() {
        draw_gains(&mut out, comparison);
    }
    text(&mut out, WIDTH - RIGHT, height - 14.0, "end", "engine speed, rpm");
    out.push_str("</svg>\n");
    out
}

fn legend(out: &mut String, comparison: &Comparison) {
    let mut x = LEFT;
    for group in &comparison.groups {
        let word = match group.group {
            Group::A => "A, the base",
            Group::B => "B, changed",
            Group::A2 => "A2, the base again",
        };
        let label = format!(
            "{word}: {}",
            if group.n == 1 { "1 pull".to_owned() } else { format!("{} pulls", group.n) }
        );
        let _ = writeln!(
            out,
            "<polyline class=\"{}\" points=\"{x:.1},54 {:.1},54\"/>",
            group.group.key(),
            x + 40.0
        );
        text(out, x + 48.0, 58.5, "start", &label);
        x += 76.0 + 7.2 * label.chars().count() as f64;
    }
    let corrected = pulls_words::corrected_to(comparison.standard);
    text(out, WIDTH - RIGHT, 80.0, "end", &corrected);
}

/// A curve's values in the unit of the picture.
fn values(curve: &Curve, measure: Measure, system: UnitSystem) -> Vec<f64> {
    let one = |(speed, torque): (&f64, &f64)| {
        let value = measure.of(*torque, *speed);
        match measure {
            Measure::Torque => system.unit::<Torque>().from_si(Torque::new::<newton_meter>(value).si()),
            Measure::Power => system.unit::<Power>().from_si(Power::new::<kilowatt>(value).si()),
        }
    };
    curve.speed_rpm.iter().zip(&curve.torque_nm).map(one).collect()
}

fn draw_curves(out: &mut String, comparison: &Comparison, system: UnitSystem) {
    let measure = comparison.measure;
    let all: Vec<Vec<f64>> =
        comparison.pulls.iter().map(|pull| values(&pull.curve, measure, system)).collect();
    let low = all.iter().flatten().copied().fold(f64::INFINITY, f64::min);
    let high = all.iter().flatten().copied().fold(f64::NEG_INFINITY, f64::max);
    let panel = Panel::new(comparison.band_rpm, low, high, frame(TOP, CURVES));
    let unit = match measure {
        Measure::Torque => system.unit::<Torque>().symbol,
        Measure::Power => system.unit::<Power>().symbol,
    };
    panel.grid(out, &format!("{}, {unit}", measure.word()));
    for (pull, values) in comparison.pulls.iter().zip(&all) {
        let points: Vec<String> =
            pull.curve.speed_rpm.iter().zip(values).map(|(rpm, value)| panel.point(*rpm, *value)).collect();
        let _ = writeln!(
            out,
            "<polyline class=\"{}\" points=\"{}\"><title>{}</title></polyline>",
            pull.group.key(),
            points.join(" "),
            escaped(&pull.name)
        );
    }
}

fn draw_gains(out: &mut String, comparison: &Comparison) {
    let gains = &comparison.by_speed;
    let ends = gains.iter().map(|gain| gain.interval_percent.unwrap_or((gain.percent, gain.percent)));
    let (mut low, mut high) = (0.0_f64, 0.0_f64);
    for (from, to) in ends.clone() {
        (low, high) = (low.min(from), high.max(to));
    }
    let panel = Panel::new(comparison.band_rpm, low, high, frame(TOP + CURVES + BETWEEN, GAINS));
    panel.grid(out, "B against A, %");
    if gains.iter().all(|gain| gain.interval_percent.is_some()) {
        let upper = gains.iter().zip(ends.clone()).map(|(gain, (_, to))| panel.point(gain.speed_rpm, to));
        let lower = gains.iter().zip(ends).rev().map(|(gain, (from, _))| panel.point(gain.speed_rpm, from));
        let outline: Vec<String> = upper.chain(lower).collect();
        let _ = writeln!(out, "<polygon class=\"interval\" points=\"{}\"/>", outline.join(" "));
    }
    let points: Vec<String> = gains.iter().map(|gain| panel.point(gain.speed_rpm, gain.percent)).collect();
    let _ = writeln!(out, "<polyline class=\"gain\" points=\"{}\"/>", points.join(" "));
    let y = panel.top + panel.height + 36.0;
    let label = format!("band: {:.0} % interval of each speed by itself", 100.0 * comparison.confidence);
    text(out, LEFT, y, "start", &label);
}
