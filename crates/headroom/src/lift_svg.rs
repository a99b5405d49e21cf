//! A picture of the lift curves: lift, velocity and acceleration over the crank, as SVG that stands by itself. Leaves out the
//! numbers, which are those of [`crate::lift_curve`].

use std::fmt::Write as _;

use parts::Duty;
use units::length::{inch, millimeter};
use units::{Length, UnitSystem};

use crate::lift::{LiftAnswer, duty_word};
use crate::lift_curve::{Curve, N_ROWS, curves};
use crate::svg_axis::{decimal, escaped, line, text, tick};

/// Size of the picture and of a panel's plot, in pixels.
const WIDTH: f64 = 960.0;
const HEIGHT: f64 = 760.0;
const LEFT: f64 = 92.0;
const RIGHT: f64 = 24.0;
const TOP: f64 = 64.0;
const PANEL: f64 = 188.0;
const BETWEEN: f64 = 32.0;

/// Exhaust red, intake blue, told apart by dashes too; a dark page gets a dark ground. Without variables, which some
/// programs that draw SVG do not know.
const STYLE: &str = "
  .ground { fill: #ffffff; }
  text { fill: #1d2733; font-family: system-ui, sans-serif; font-size: 13px; }
  text.title { font-size: 16px; font-weight: 600; }
  line { stroke: #d5dbe1; stroke-width: 1; }
  line.zero { stroke: #8d99a5; }
  polyline { fill: none; stroke-width: 2; stroke-linejoin: round; }
  .intake { stroke: #1f62b0; }
  .exhaust { stroke: #b5381d; stroke-dasharray: 7 3; }
  @media (prefers-color-scheme: dark) {
    .ground { fill: #14191f; }
    text { fill: #dce3ea; }
    line { stroke: #323b45; }
    line.zero { stroke: #76828e; }
    .intake { stroke: #75b0f2; }
    .exhaust { stroke: #f0876c; }
  }
";

/// One panel: what it shows, and the numbers of a curve.
struct Panel {
    name: &'static str,
    unit: String,
    of: fn(&Curve) -> &[Length],
}

/// Draws the curves.
pub fn svg(answer: &LiftAnswer, system: UnitSystem) -> String {
    let curves = curves(answer);
    let (unit, number): (&str, fn(Length) -> f64) = match system {
        UnitSystem::Metric => ("mm", |length| length.get::<millimeter>()),
        UnitSystem::Inch => ("in", |length| length.get::<inch>()),
    };
    let panels = [
        Panel { name: "lift", unit: unit.to_owned(), of: |curve| &curve.lift },
        Panel { name: "velocity", unit: format!("{unit} / deg"), of: |curve| &curve.velocity },
        Panel { name: "acceleration", unit: format!("{unit} / deg²"), of: |curve| &curve.acceleration },
    ];
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" aria-label=\"{label}\">\n\
         <style>{STYLE}</style>\n<rect class=\"ground\" width=\"{WIDTH}\" height=\"{HEIGHT}\"/>\n\
         <text class=\"title\" x=\"{LEFT}\" y=\"28\">{name}</text>\n",
        label =
            escaped(&format!("Valve lift, velocity and acceleration over the crank angle: {}", answer.build)),
        name = escaped(&answer.build),
    );
    legend(&mut out, &curves);
    for (idx, panel) in panels.iter().enumerate() {
        let top = TOP + idx as f64 * (PANEL + BETWEEN);
        draw_panel(&mut out, panel, &curves, top, number);
    }
    let foot = TOP + 3.0 * PANEL + 2.0 * BETWEEN;
    for (deg, name) in
        [(0, "TDC firing"), (180, "BDC"), (360, "TDC overlap"), (540, "BDC"), (720, "TDC firing")]
    {
        let anchor = if deg == 0 {
            "start"
        } else if deg == 720 {
            "end"
        } else {
            "middle"
        };
        let x = across(f64::from(deg));
        text(&mut out, x, foot + 20.0, anchor, &format!("{deg}°"));
        text(&mut out, x, foot + 38.0, anchor, name);
    }
    out.push_str("</svg>\n");
    out
}

fn legend(out: &mut String, curves: &[Curve]) {
    for (idx, curve) in curves.iter().enumerate() {
        let x = WIDTH - RIGHT - 110.0 * (curves.len() - idx) as f64;
        let word = duty_word(curve.duty);
        let _ =
            writeln!(out, "<polyline class=\"{word}\" points=\"{x:.1},24 {end:.1},24\"/>", end = x + 34.0);
        text(out, x + 42.0, 28.0, "start", word);
    }
}

fn draw_panel(out: &mut String, panel: &Panel, curves: &[Curve], top: f64, number: fn(Length) -> f64) {
    let values = |curve: &Curve| -> Vec<f64> { (panel.of)(curve).iter().map(|v| number(*v)).collect() };
    let all: Vec<f64> = curves.iter().flat_map(values).collect();
    let low = all.iter().copied().fold(0.0, f64::min);
    let high = all.iter().copied().fold(0.0, f64::max);
    let step = tick(low, high);
    let (low, high) = ((low / step).floor() * step, (high / step).ceil().max(1.0) * step);
    let up = |value: f64| top + PANEL * (high - value) / (high - low);
    for quarter in 0..=8 {
        let x = across(f64::from(quarter) * 90.0);
        line(out, "grid", [x, top], [x, top + PANEL]);
    }
    let n_ticks = ((high - low) / step).round() as i32;
    for idx in 0..=n_ticks {
        let value = low + f64::from(idx) * step;
        let class = if value.abs() < 0.5 * step { "zero" } else { "grid" };
        line(out, class, [LEFT, up(value)], [WIDTH - RIGHT, up(value)]);
        text(out, LEFT - 8.0, up(value) + 4.5, "end", &decimal(value, step));
    }
    let (x, y) = (20.0, top + 0.5 * PANEL);
    let _ = writeln!(
        out,
        "<text x=\"{x}\" y=\"{y:.1}\" text-anchor=\"middle\" transform=\"rotate(-90 {x} {y:.1})\">{}, {}</text>",
        panel.name, panel.unit
    );
    for curve in curves {
        let points = values(curve);
        let closed = (0..=N_ROWS).map(|deg| {
            let value = points[deg % N_ROWS];
            format!("{:.1},{:.1}", across(deg as f64), up(value))
        });
        let class = match curve.duty {
            Duty::Intake => "intake",
            Duty::Exhaust => "exhaust",
        };
        let _ = writeln!(
            out,
            "<polyline class=\"{class}\" points=\"{}\"/>",
            closed.collect::<Vec<_>>().join(" ")
        );
    }
}

/// Place of a crank angle across the picture.
fn across(deg: f64) -> f64 {
    LEFT + (WIDTH - LEFT - RIGHT) * deg / N_ROWS as f64
}
