//! A picture of predicted pulls: torque above power over speed, one line a build, as SVG that stands by itself. Speeds
//! that did not settle are drawn open, those that broke off are missing, and both are said below. Leaves out the
//! numbers.

use std::fmt::Write as _;

use cycle::speed_point::{Outcome, SpeedPoint};
use units::{Power, Torque, UnitSystem};

use crate::pull::{PullAnswer, USUAL_ERROR, USUAL_ERROR_CALIBRATED};
use crate::pull_words;
use crate::svg_axis::{escaped, text};
use crate::svg_panel::{Frame, Panel};

/// Size of the picture and of what stands in it, in pixels.
const WIDTH: f64 = 960.0;
const LEFT: f64 = 104.0;
const RIGHT: f64 = 32.0;
const HEAD: f64 = 56.0;
const LEGEND: f64 = 30.0;
const PANEL: f64 = 300.0;
const BETWEEN: f64 = 56.0;
const LINE: f64 = 25.0;
/// Size of the letters: read from an arm's length where the picture is as wide as a page.
const LETTERS: f64 = 18.0;
/// Radius of a point.
const DOT: f64 = 5.0;

/// Line styles, in the order of the builds: the first blue and whole, then others in colour and dashes, so that colour is never
/// alone. More builds than styles begin again.
const N_STYLES: usize = 5;

/// A dark page gets a dark ground.
const STYLE: &str = "
  .ground { fill: #ffffff; }
  text { fill: #1d2733; font-family: system-ui, 'DejaVu Sans', sans-serif; font-size: 18px; }
  text.title { font-size: 21px; font-weight: 600; }
  line { stroke: #d5dbe1; stroke-width: 1; }
  line.zero { stroke: #5d6873; stroke-width: 1.5; }
  polyline { fill: none; stroke-width: 3; stroke-linejoin: round; }
  circle { stroke-width: 2.4; }
  .b0 { stroke: #1f62b0; fill: #1f62b0; }
  .b1 { stroke: #b5381d; fill: #b5381d; stroke-dasharray: 12 5; }
  .b2 { stroke: #2d7d46; fill: #2d7d46; stroke-dasharray: 3 5; }
  .b3 { stroke: #7b4bb0; fill: #7b4bb0; stroke-dasharray: 14 5 3 5; }
  .b4 { stroke: #8a6d00; fill: #8a6d00; stroke-dasharray: 6 4; }
  polyline.curve { fill: none; }
  circle.dot { stroke-dasharray: none; }
  circle.open { fill: #ffffff; stroke-dasharray: none; }
  @media (prefers-color-scheme: dark) {
    .ground { fill: #14191f; }
    text { fill: #dce3ea; }
    line { stroke: #323b45; }
    line.zero { stroke: #9aa5b0; }
    .b0 { stroke: #75b0f2; fill: #75b0f2; }
    .b1 { stroke: #f0876c; fill: #f0876c; }
    .b2 { stroke: #79c792; fill: #79c792; }
    .b3 { stroke: #bd9bea; fill: #bd9bea; }
    .b4 { stroke: #d6bb52; fill: #d6bb52; }
    polyline.curve { fill: none; }
    circle.open { fill: #14191f; }
  }
";

/// Draws the answers over each other; the first is the base.
pub fn svg(answers: &[PullAnswer], system: UnitSystem) -> String {
    let notes = notes(answers, system);
    let legend = if answers.len() > 1 { answers.len() as f64 * LEGEND } else { 0.0 };
    let top = HEAD + legend;
    let feet = top + 2.0 * PANEL + 2.0 * BETWEEN + LINE;
    let height = feet + notes.len() as f64 * LINE + 8.0;
    let title = title(answers);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" aria-label=\"{}\">\n\
         <style>{STYLE}</style>\n<rect class=\"ground\" width=\"{WIDTH}\" height=\"{height}\"/>\n",
        escaped(&title)
    );
    let _ = writeln!(out, "<text class=\"title\" x=\"{LEFT}\" y=\"36\">{}</text>", escaped(&title));
    if answers.len() > 1 {
        draw_legend(&mut out, answers);
    }
    let frame = |top: f64| Frame { left: LEFT, right: WIDTH - RIGHT, top, height: PANEL, letters: LETTERS };
    let torque = |p: &SpeedPoint| system.unit::<Torque>().from_si(p.torque_n_m);
    let power = |p: &SpeedPoint| system.unit::<Power>().from_si(p.power_w);
    let torque_name = format!("torque, {}", system.unit::<Torque>().symbol);
    let power_name = format!("power, {}", system.unit::<Power>().symbol);
    draw(&mut out, answers, frame(top), &torque_name, &torque);
    draw(&mut out, answers, frame(top + PANEL + BETWEEN), &power_name, &power);
    text(&mut out, WIDTH - RIGHT, feet - LINE - 8.0, "end", "engine speed, rpm");
    for (idx, note) in notes.iter().enumerate() {
        text(&mut out, LEFT, feet + idx as f64 * LINE, "start", note);
    }
    out.push_str("</svg>\n");
    out
}

fn title(answers: &[PullAnswer]) -> String {
    let name = answers.first().map_or("", |answer| answer.name.as_str());
    let others = match answers.len() {
        0 | 1 => String::new(),
        2 => " and one candidate".to_owned(),
        n => format!(" and {} candidates", n - 1),
    };
    format!("{name}{others}: predicted torque and power")
}

/// What has to be said under the picture.
fn notes(answers: &[PullAnswer], system: UnitSystem) -> Vec<String> {
    let calibrated = answers.first().is_some_and(|answer| answer.calibration.is_some());
    let (from, usual) = if calibrated {
        ("by a model held against measured pulls", USUAL_ERROR_CALIBRATED)
    } else {
        ("without a measured pull", USUAL_ERROR)
    };
    let [low, high] = usual.map(|error| 100.0 * error);
    let mut notes = vec![format!("Predicted {from}: usually {low:.0} to {high:.0} % off in power.")];
    if let Some(answer) = answers.first() {
        notes.push(match &answer.correction {
            Some(c) => format!("Corrected to {}: times {:.3}.", c.standard.name(), c.factor),
            None => "Not corrected to a standard.".to_owned(),
        });
        notes.push(format!("Air: {}.", pull_words::weather(answer, system)));
    }
    let open: usize = answers.iter().map(|answer| answer.unsettled().count()).sum();
    if open > 0 {
        let worst = answers.iter().flat_map(|a| a.unsettled().map(|p| p.error)).fold(0.0, f64::max);
        notes.push(format!(
            "Open circles: {} that did not settle, up to {:.1} % off by themselves.",
            speeds(open),
            100.0 * worst
        ));
    }
    let broke: usize = answers.iter().map(|answer| answer.points.len() - answer.sound().count()).sum();
    if broke > 0 {
        notes.push(format!("Missing: {} at which the computation broke off.", speeds(broke)));
    }
    notes
}

fn speeds(n: usize) -> String {
    if n == 1 { "1 speed".to_owned() } else { format!("{n} speeds") }
}

fn draw_legend(out: &mut String, answers: &[PullAnswer]) {
    for (idx, answer) in answers.iter().enumerate() {
        let y = HEAD + (idx as f64 + 0.3) * LEGEND;
        let _ = writeln!(
            out,
            "<polyline class=\"curve b{}\" points=\"{LEFT},{y:.1} {:.1},{y:.1}\"/>",
            idx % N_STYLES,
            LEFT + 56.0
        );
        text(out, LEFT + 68.0, y + 0.35 * LETTERS, "start", &answer.name);
    }
}

/// A panel with every answer's curve of a quantity, corrected where the answer is.
fn draw(out: &mut String, answers: &[PullAnswer], frame: Frame, name: &str, of: &dyn Fn(&SpeedPoint) -> f64) {
    let value = |answer: &PullAnswer, point: &SpeedPoint| answer.factor() * of(point);
    let all = || answers.iter().flat_map(|answer| answer.points.iter().map(|point| point.rpm));
    let band = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    let values = || answers.iter().flat_map(|answer| answer.sound().map(|point| value(answer, point)));
    let high = values().fold(0.0, f64::max);
    // From nothing on: a curve that begins at its own least value makes every change look large.
    let low = values().fold(0.0, f64::min);
    let panel = Panel::new(band, low, high, frame);
    panel.grid(out, name);
    for (idx, answer) in answers.iter().enumerate() {
        let style = idx % N_STYLES;
        // Where a speed broke off the line is cut.
        for run in answer.points.split(|point| matches!(point.outcome, Outcome::Broke(_))) {
            let points: Vec<String> =
                run.iter().map(|point| panel.point(point.rpm, value(answer, point))).collect();
            if points.len() > 1 {
                let _ = writeln!(
                    out,
                    "<polyline class=\"curve b{style}\" points=\"{}\"><title>{}</title></polyline>",
                    points.join(" "),
                    escaped(&answer.name)
                );
            }
        }
        for point in answer.sound() {
            let [x, y] = panel.place(point.rpm, value(answer, point));
            let kind = if point.outcome == Outcome::Converged { "dot" } else { "open" };
            let _ =
                writeln!(out, "<circle class=\"b{style} {kind}\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{DOT}\"/>");
        }
    }
}
