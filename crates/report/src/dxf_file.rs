//! A drawing as DXF in millimetres, for machines and drawing programs. Leaves out paper: the origin is the bore's
//! centre.

use dxf::entities::{Circle, Entity, EntityType, LwPolyline, Text};
use dxf::enums::{AcadVersion, DrawingUnits, HorizontalTextJustification, Units};
use dxf::tables::Layer as DxfLayer;
use dxf::{Color, LwPolylineVertex, Point};

use crate::drawing::{Anchor, Drawing, Item, Layer, Shape};

/// Height of capitals against the size of the letters.
const CAPITALS: f64 = 0.72;

/// The drawing as an ASCII DXF file of the year 2000's version, the oldest that says its unit and has light polylines
/// with arcs.
///
/// Dimensions are lines, arrows and words, so that every program shows them alike. Dates and random marks in the head
/// are fixed: the same drawing makes the same bytes.
pub fn dxf(drawing: &Drawing) -> dxf::DxfResult<Vec<u8>> {
    let mut file = dxf::Drawing::new();
    let head = &mut file.header;
    head.version = AcadVersion::R2000;
    head.default_drawing_units = Units::Millimeters;
    head.drawing_units = DrawingUnits::Metric;
    let long_ago = std::time::SystemTime::UNIX_EPOCH;
    (head.creation_date, head.update_date) = (long_ago.into(), long_ago.into());
    (head.creation_date_universal, head.update_date_universal) = (long_ago.into(), long_ago.into());
    (head.fingerprint_guid, head.version_guid) = Default::default();
    for layer in Layer::ALL {
        let color = Color::from_index(layer.line().color.index);
        file.add_layer(DxfLayer { name: layer.name().to_owned(), color, ..DxfLayer::default() });
    }
    for entity in drawing.items.iter().filter_map(entity) {
        file.add_entity(entity);
    }
    let mut bytes = Vec::new();
    file.save(&mut bytes)?;
    Ok(bytes)
}

/// Colours have no lines to follow, and are left out.
fn entity(item: &Item) -> Option<Entity> {
    let specific = match &item.shape {
        Shape::Area { .. } => return None,
        Shape::Circle { center, radius_mm } => {
            let center = Point::new(center.x, center.y, 0.0);
            EntityType::Circle(Circle { center, radius: *radius_mm, ..Circle::default() })
        }
        Shape::Path { vertices, closed } => {
            let vertex = |vertex: &crate::drawing::Vertex| LwPolylineVertex {
                x: vertex.at.x,
                y: vertex.at.y,
                bulge: vertex.bulge,
                ..LwPolylineVertex::default()
            };
            let vertices = vertices.iter().map(vertex).collect();
            EntityType::LwPolyline(LwPolyline {
                flags: i32::from(*closed),
                vertices,
                ..LwPolyline::default()
            })
        }
        Shape::Text { at, size_mm, turn_rad, anchor, words } => {
            let point = Point::new(at.x, at.y, 0.0);
            let horizontal_text_justification = match anchor {
                Anchor::Left => HorizontalTextJustification::Left,
                Anchor::Middle => HorizontalTextJustification::Center,
                Anchor::Right => HorizontalTextJustification::Right,
            };
            EntityType::Text(Text {
                location: point.clone(),
                second_alignment_point: point,
                text_height: size_mm * CAPITALS,
                rotation: turn_rad.to_degrees(),
                value: words.replace('°', "%%d").replace('±', "%%p"),
                horizontal_text_justification,
                ..Text::default()
            })
        }
    };
    let mut entity = Entity::new(specific);
    entity.common.layer = item.layer.name().to_owned();
    Some(entity)
}
