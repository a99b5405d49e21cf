//! Predicted over rated power as a picture: one mark an engine, the line of equals and 15 % to either side.

use std::fmt::Write as _;

use parts::estimate_running::ValveLayout;

use crate::Predicted;

const SIZE: f64 = 640.0;
const EDGE: f64 = 76.0;
const MOST_KW: f64 = 200.0;
const STEP_KW: usize = 40;

const STYLE: &str = "
  text { fill: #1d2733; font-family: system-ui, 'DejaVu Sans', sans-serif; font-size: 17px; }
  .ground { fill: #ffffff; }
  .grid { stroke: #d5dbe1; }
  .equal { stroke: #1d2733; stroke-width: 2; }
  .near { stroke: #1d2733; stroke-dasharray: 8 5; }
  .parallel { fill: #1f62b0; }
  .inclined { fill: #ffffff; stroke: #b5381d; stroke-width: 2.5; }
";

fn across(kw: f64) -> f64 {
    EDGE + (SIZE - EDGE - 24.0) * kw / MOST_KW
}

fn up(kw: f64) -> f64 {
    SIZE - across(kw)
}

/// The picture; engines beyond its ends are left out of it.
pub fn svg(all: &[&Predicted]) -> String {
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {SIZE} {SIZE}\" role=\"img\" \
         aria-label=\"Predicted over rated power\">\n<style>{STYLE}</style>\n\
         <rect class=\"ground\" width=\"{SIZE}\" height=\"{SIZE}\"/>\n"
    );
    let (low, high) = (across(0.0), across(MOST_KW));
    for kw in (0..=MOST_KW as usize).step_by(STEP_KW) {
        let (x, y) = (across(kw as f64), up(kw as f64));
        let _ = writeln!(out, "<path class=\"grid\" d=\"M{x:.1} {:.1}V{:.1}\"/>", SIZE - low, SIZE - high);
        let _ = writeln!(out, "<path class=\"grid\" d=\"M{low:.1} {y:.1}H{high:.1}\"/>");
        let _ = writeln!(
            out,
            "<text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{kw}</text>",
            SIZE - low + 22.0
        );
        let _ = writeln!(
            out,
            "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{kw}</text>",
            low - 8.0,
            y + 6.0
        );
    }
    for (class, slope) in [("equal", 1.0), ("near", 0.85), ("near", 1.15)] {
        let end = MOST_KW / f64::max(slope, 1.0);
        let _ = writeln!(
            out,
            "<path class=\"{class}\" d=\"M{:.1} {:.1}L{:.1} {:.1}\"/>",
            across(0.0),
            up(0.0),
            across(end),
            up(slope * end)
        );
    }
    for one in all {
        let (x, y) = (across(one.rated.power_w / 1e3), up(one.point.power_w / 1e3));
        let mark = match one.layout {
            ValveLayout::Parallel => {
                format!("<circle class=\"parallel\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"5\"/>")
            }
            ValveLayout::Inclined | ValveLayout::Multi => format!(
                "<rect class=\"inclined\" x=\"{:.1}\" y=\"{:.1}\" width=\"10\" height=\"10\"/>",
                x - 5.0,
                y - 5.0
            ),
        };
        let _ = writeln!(out, "{mark}");
    }
    let middle = 0.5 * (low + high);
    let _ = writeln!(
        out,
        "<text x=\"{middle:.1}\" y=\"{:.1}\" text-anchor=\"middle\">rated power, kW (SAE net)</text>",
        SIZE - 14.0
    );
    let y = SIZE - middle;
    let _ = writeln!(
        out,
        "<text x=\"22\" y=\"{y:.1}\" text-anchor=\"middle\" transform=\"rotate(-90 22 {y:.1})\">predicted power, kW</text>"
    );
    for (line, (mark, words)) in [
        ("<circle class=\"parallel\" cx=\"100\" cy=\"{y}\" r=\"5\"/>", "parallel valves"),
        ("<rect class=\"inclined\" x=\"95\" y=\"{top}\" width=\"10\" height=\"10\"/>", "inclined valves"),
    ]
    .into_iter()
    .enumerate()
    {
        let y = 48.0 + 26.0 * line as f64;
        let mark = mark.replace("{y}", &format!("{y}")).replace("{top}", &format!("{}", y - 5.0));
        let _ = writeln!(out, "{mark}<text x=\"114\" y=\"{}\">{words}</text>", y + 6.0);
    }
    let _ = writeln!(
        out,
        "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">dashed: 15 % off</text>",
        high - 8.0,
        SIZE - low - 14.0
    );
    out.push_str("</svg>\n");
    out
}
