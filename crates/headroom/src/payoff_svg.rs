//! A picture of a payoff's shares: a waterfall from the base's mean torque to the candidate's, as SVG that stands by itself.
//! Leaves out the curves.

use std::fmt::Write as _;

use units::UnitSystem;

use crate::payoff::PayoffAnswer;
use crate::payoff_words::{signed_percent, steps, torque_text};
use crate::svg_axis::{escaped, line, text};

/// Size of the picture, in pixels.
const WIDTH: f64 = 860.0;
const LEFT: f64 = 210.0;
const RIGHT: f64 = 140.0;
const TOP: f64 = 64.0;
const ROW: f64 = 34.0;
const BAR: f64 = 20.0;

/// Gain and loss told apart by colour and by the sign beside the bar; a dark page gets a dark ground.
const STYLE: &str = "
  .ground { fill: #ffffff; }
  text { fill: #1d2733; font-family: system-ui, sans-serif; font-size: 13px; }
  text.title { font-size: 16px; font-weight: 600; }
  line { stroke: #8d99a5; stroke-width: 1; }
  .whole { fill: #5d6b79; }
  .more { fill: #1f62b0; }
  .less { fill: #b5381d; }
  @media (prefers-color-scheme: dark) {
    .ground { fill: #14191f; }
    text { fill: #dce3ea; }
    line { stroke: #76828e; }
    .whole { fill: #9aa7b4; }
    .more { fill: #75b0f2; }
    .less { fill: #f0876c; }
  }
";

/// Draws the waterfall; every bar has its number beside it.
pub fn svg(answer: &PayoffAnswer, system: UnitSystem) -> String {
    let steps = steps(answer);
    let [base, candidate] = answer.means.map(|mean| mean.torque_n_m);
    let all = steps.iter().flat_map(|(from, to)| [*from, *to]).chain([base, candidate]);
    let (low, high) =
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)));
    // A little room on the left, so that the smallest of both engines still is a bar.
    let low = low - 0.15 * (high - low).max(1e-6);
    let x = |torque: f64| LEFT + (WIDTH - LEFT - RIGHT) * (torque - low) / (high - low).max(1e-6);
    let height = TOP + ROW * (steps.len() + 2) as f64 + 16.0;
    let title = format!("{}: mean torque over the band", answer.name);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" aria-label=\"{name}\">\n\
         <style>{STYLE}</style>\n<rect class=\"ground\" width=\"{WIDTH}\" height=\"{height}\"/>\n\
         <text class=\"title\" x=\"24\" y=\"32\">{name}</text>\n",
        name = escaped(&title),
    );
    let mut bar = |row: usize, class: &str, from: f64, to: f64, name: &str, number: &str| {
        let top = TOP + ROW * row as f64;
        let (left, width) = (x(from.min(to)), (x(from.max(to)) - x(from.min(to))).max(1.0));
        let _ = writeln!(
            out,
            "<rect class=\"{class}\" x=\"{left:.1}\" y=\"{top:.1}\" width=\"{width:.1}\" height=\"{BAR}\"/>"
        );
        text(&mut out, LEFT - 12.0, top + 15.0, "end", name);
        text(&mut out, left + width + 8.0, top + 15.0, "start", number);
        line(&mut out, "step", [x(to), top + BAR], [x(to), top + ROW]);
    };
    bar(0, "whole", low, base, "base", &torque_text(base, system));
    for (row, (share, (from, to))) in answer.shares.iter().zip(&steps).enumerate() {
        let class = if share.gain < 0.0 { "less" } else { "more" };
        bar(row + 1, class, *from, *to, &share.group.name, &format!("{} %", signed_percent(share.gain)));
    }
    bar(steps.len() + 1, "whole", low, candidate, "candidate", &torque_text(candidate, system));
    out.push_str("</svg>\n");
    out
}
