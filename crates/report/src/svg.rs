//! A sheet as SVG, its user unit a millimetre. Leaves out fonts: words are text in the viewer's own.

use std::fmt::Write;

use crate::drawing::{Anchor, Color, Item, Layer, Shape, arc};
use crate::sheet::Sheet;

/// The sheet as an SVG document of the paper's size.
pub fn svg(sheet: &Sheet) -> String {
    let [width, height] = sheet.paper.size_mm();
    let mut out = String::new();
    let mut line = |text: String| {
        out.push_str(&text);
        out.push('\n');
    };
    line(format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}" role="img">"#
    ));
    line(format!("<title>{}</title>", escaped(&sheet.title)));
    line(r##"<rect width="100%" height="100%" fill="#fff"/>"##.to_owned());
    for layer in Layer::ALL {
        let items: Vec<&Item> = sheet.drawing.items.iter().filter(|item| item.layer == layer).collect();
        if items.is_empty() {
            continue;
        }
        let style = layer.line();
        let color = hex(style.color);
        let dash = style.dash_mm.iter().map(f64::to_string).collect::<Vec<_>>().join(" ");
        let dash = if dash.is_empty() { dash } else { format!(r#" stroke-dasharray="{dash}""#) };
        line(format!(
            r#"<g id="{}" fill="none" stroke="{color}" stroke-width="{}"{dash} stroke-linecap="round" stroke-linejoin="round">"#,
            layer.name(),
            style.width_mm,
        ));
        for item in items {
            line(shape(&item.shape, height, &color));
        }
        line("</g>".to_owned());
    }
    line("</svg>".to_owned());
    out
}

/// One shape; SVG counts heights downward.
fn shape(shape: &Shape, height: f64, color: &str) -> String {
    match shape {
        Shape::Area { loops, color } => {
            let mut d = String::new();
            for corners in loops {
                for (idx, at) in corners.iter().enumerate() {
                    let _ = write!(
                        d,
                        "{}{} {}",
                        if idx == 0 { 'M' } else { 'L' },
                        hundredth(at.x),
                        hundredth(height - at.y)
                    );
                }
                d.push('Z');
            }
            let color = hex(*color);
            format!(r#"<path d="{d}" fill="{color}" fill-rule="nonzero" stroke="none"/>"#)
        }
        Shape::Circle { center, radius_mm } => {
            format!(
                r#"<circle cx="{}" cy="{}" r="{}"/>"#,
                mm(center.x),
                mm(height - center.y),
                mm(*radius_mm)
            )
        }
        Shape::Path { vertices, closed } => {
            let mut d = String::new();
            let n_ways = if *closed { vertices.len() } else { vertices.len().saturating_sub(1) };
            for (idx, vertex) in vertices.iter().enumerate() {
                if idx == 0 {
                    let _ = write!(d, "M{} {}", mm(vertex.at.x), mm(height - vertex.at.y));
                }
                if idx >= n_ways {
                    break;
                }
                let to = vertices[(idx + 1) % vertices.len()].at;
                let _ = match arc(vertex.at, to, vertex.bulge) {
                    None => write!(d, "L{} {}", mm(to.x), mm(height - to.y)),
                    Some(arc) => {
                        let large = u8::from(arc.turn_rad.abs() > std::f64::consts::PI);
                        let sweep = u8::from(arc.turn_rad < 0.0);
                        let radius = mm(arc.radius_mm);
                        write!(d, "A{radius} {radius} 0 {large} {sweep} {} {}", mm(to.x), mm(height - to.y))
                    }
                };
            }
            let close = if *closed { "Z" } else { "" };
            format!(r#"<path d="{d}{close}"/>"#)
        }
        Shape::Text { at, size_mm, turn_rad, anchor, words } => {
            let anchor = match anchor {
                Anchor::Left => "start",
                Anchor::Middle => "middle",
                Anchor::Right => "end",
            };
            let (x, y) = (mm(at.x), mm(height - at.y));
            let turn = -turn_rad.to_degrees();
            let turn = if turn.abs() < 1e-9 {
                String::new()
            } else {
                format!(r#" transform="rotate({turn:.4} {x} {y})""#)
            };
            format!(
                r#"<text x="{x}" y="{y}" font-size="{size_mm}" font-family="Helvetica, Arial, sans-serif" text-anchor="{anchor}" fill="{color}" stroke="none"{turn}>{}</text>"#,
                escaped(words)
            )
        }
    }
}

fn hex(color: Color) -> String {
    format!("#{:02x}{:02x}{:02x}", color.red, color.green, color.blue)
}

/// Edges of colour are drawn to a hundredth of a millimetre; there are many of them.
fn hundredth(value: f64) -> String {
    mm((100.0 * value).round() / 100.0)
}

/// Millimetres to a tenth of a micrometre.
fn mm(value: f64) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn escaped(words: &str) -> String {
    words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
