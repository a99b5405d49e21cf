//! A sheet as PDF at full size. Leaves out embedded fonts: words are in Helvetica, which every reader has.

use glam::DVec2;
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use crate::drawing::{Anchor, Item, Layer, Shape, arc};
use crate::letters::helvetica_width;
use crate::sheet::Sheet;

/// A PDF unit is the 72nd part of an inch.
const UNITS_PER_MM: f64 = 72.0 / 25.4;

/// Arcs are cut into curves that turn no more than this: 15 degrees, where a cubic is a circle to 1e-8 of its radius.
const MOST_TURN_RAD: f64 = std::f64::consts::PI / 12.0;

/// The sheet as a PDF file. The same sheet makes the same bytes.
pub fn pdf(sheet: &Sheet) -> Vec<u8> {
    let [catalog, pages, page, content, font, info] = [1, 2, 3, 4, 5, 6].map(Ref::new);
    let font_name = Name(b"F1");
    let size = sheet.paper.size_mm().map(|side| (side * UNITS_PER_MM) as f32);
    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(pages);
    pdf.pages(pages).kids([page]).count(1);
    let mut writer = pdf.page(page);
    writer.media_box(Rect::new(0.0, 0.0, size[0], size[1])).parent(pages).contents(content);
    writer.resources().fonts().pair(font_name, font);
    writer.finish();
    pdf.type1_font(font).base_font(Name(b"Helvetica")).encoding_predefined(Name(b"WinAnsiEncoding"));
    pdf.stream(content, &drawn(sheet, font_name));
    pdf.document_info(info).title(TextStr(&sheet.title));
    pdf.finish()
}

fn drawn(sheet: &Sheet, font: Name) -> Vec<u8> {
    let mut content = Content::new();
    let scale = UNITS_PER_MM as f32;
    content.transform([scale, 0.0, 0.0, scale, 0.0, 0.0]);
    content.set_line_cap(pdf_writer::types::LineCapStyle::RoundCap);
    content.set_line_join(pdf_writer::types::LineJoinStyle::RoundJoin);
    for layer in Layer::ALL {
        let style = layer.line();
        let [red, green, blue] =
            [style.color.red, style.color.green, style.color.blue].map(|part| f32::from(part) / 255.0);
        content.save_state();
        content.set_stroke_rgb(red, green, blue).set_fill_rgb(red, green, blue);
        content.set_line_width(style.width_mm as f32);
        content.set_dash_pattern(style.dash_mm.iter().map(|part| *part as f32), 0.0);
        for item in sheet.drawing.items.iter().filter(|item| item.layer == layer) {
            draw(&mut content, item, font);
        }
        content.restore_state();
    }
    content.finish().into_vec()
}

fn draw(content: &mut Content, item: &Item, font: Name) {
    match &item.shape {
        Shape::Area { loops, color } => {
            let [red, green, blue] = [color.red, color.green, color.blue].map(|part| f32::from(part) / 255.0);
            content.save_state();
            content.set_fill_rgb(red, green, blue);
            for corners in loops {
                let Some((first, others)) = corners.split_first() else { continue };
                move_to(content, *first);
                for at in others {
                    content.line_to(at.x as f32, at.y as f32);
                }
                content.close_path();
            }
            content.fill_nonzero();
            content.restore_state();
        }
        Shape::Circle { center, radius_mm } => {
            let whole = crate::drawing::Arc {
                center: *center,
                radius_mm: *radius_mm,
                from_rad: 0.0,
                turn_rad: std::f64::consts::TAU,
            };
            move_to(content, whole.point(0.0));
            curve(content, whole);
            content.close_and_stroke();
        }
        Shape::Path { vertices, closed } => {
            let Some(first) = vertices.first() else { return };
            move_to(content, first.at);
            let n_ways = if *closed { vertices.len() } else { vertices.len() - 1 };
            for idx in 0..n_ways {
                let (from, to) = (vertices[idx], vertices[(idx + 1) % vertices.len()].at);
                match arc(from.at, to, from.bulge) {
                    Some(arc) => curve(content, arc),
                    None => {
                        content.line_to(to.x as f32, to.y as f32);
                    }
                }
            }
            if *closed {
                content.close_and_stroke();
            } else {
                content.stroke();
            }
        }
        Shape::Text { at, size_mm, turn_rad, anchor, words } => {
            let bytes = win_ansi(words);
            let width = size_mm * bytes.iter().map(|byte| helvetica_width(*byte)).sum::<f64>();
            let back = match anchor {
                Anchor::Left => 0.0,
                Anchor::Middle => 0.5 * width,
                Anchor::Right => width,
            };
            let along = DVec2::from_angle(*turn_rad);
            let start = *at - along * back;
            let [cos, sin] = [along.x as f32, along.y as f32];
            content.begin_text();
            content.set_font(font, *size_mm as f32);
            content.set_text_matrix([cos, sin, -sin, cos, start.x as f32, start.y as f32]);
            content.show(Str(&bytes));
            content.end_text();
        }
    }
}

fn move_to(content: &mut Content, at: DVec2) {
    content.move_to(at.x as f32, at.y as f32);
}

/// An arc from the current point by cubics: handles of `4/3 tan(turn / 4)` radii along the tangents at both ends.
///
/// Goldapp (1991), "Approximation of circular arcs by cubic polynomials", Computer Aided Geometric Design 8, 227-238
/// (from memory).
fn curve(content: &mut Content, arc: crate::drawing::Arc) {
    let n_curves = (arc.turn_rad.abs() / MOST_TURN_RAD).ceil().max(1.0);
    let turn = arc.turn_rad / n_curves;
    let handle = 4.0 / 3.0 * (0.25 * turn).tan() * arc.radius_mm;
    for idx in 0..n_curves as usize {
        let [from, to] = [idx, idx + 1].map(|idx| {
            let angle = arc.from_rad + turn * idx as f64;
            (arc.center + DVec2::from_angle(angle) * arc.radius_mm, DVec2::from_angle(angle).perp())
        });
        let (a, b) = (from.0 + from.1 * handle, to.0 - to.1 * handle);
        content.cubic_to(a.x as f32, a.y as f32, b.x as f32, b.y as f32, to.0.x as f32, to.0.y as f32);
    }
}

/// Bytes of the encoding that PDF calls WinAnsi: as Latin-1, with a question mark for what it lacks.
fn win_ansi(words: &str) -> Vec<u8> {
    words
        .chars()
        .map(|letter| match letter {
            '\u{2013}' => 0x96,
            '\u{2212}' => b'-',
            letter if (letter as u32) < 0x80 || (0xa0..0x100).contains(&(letter as u32)) => letter as u8,
            _ => b'?',
        })
        .collect()
}
