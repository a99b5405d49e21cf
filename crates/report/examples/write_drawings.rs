//! Writes the drawings of four invented cuts into a folder, with the numbers that they must show. Used by
//! `checks/report_drawings`.
//!
//!     cargo run -p headroom-report --example write_drawings -- FOLDER

use std::error::Error;
use std::path::Path;

use fit::relief_cut::ReliefCut;
use fit::relief_cutter::{Cutter, Shape};
use fit::relief_fly_cut::FlyCut;
use fit::relief_mesh::Mesh;
use fit::relief_mesh_cut::cut_mesh;
use fit::relief_mesh_pocket::pocket_mesh;
use fit::relief_to_holes::Hole;
use fit::relief_volume::Metal;
use fit::solid::Plan;
use glam::DVec3;
use report::{CutSheet, Dowel, Paper, cut_drawing, dxf, pdf, stl, svg, template};
use serde_json::{Value, json};
use units::angle::degree;
use units::length::millimeter;
use units::volume::cubic_millimeter;
use units::{Angle, Length, Volume};

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

/// A cutter from its end in millimetres, its lean in degrees, radius and corner in millimetres, lay-back in degrees.
fn cutter(
    end: [f64; 3],
    tilt: [f64; 2],
    radius: f64,
    corner: f64,
    layback: f64,
) -> Result<Cutter, Box<dyn Error>> {
    let axis = DVec3::new(tilt[0].to_radians().tan(), tilt[1].to_radians().tan(), 1.0).normalize();
    let first = DVec3::new(axis.z, 0.0, -axis.x).normalize();
    let shape = Shape::LaidBack { corner_radius: mm(corner), layback: Angle::new::<degree>(layback) };
    Ok(Cutter::new(DVec3::from_array(end) * 1e-3, axis, [first, axis.cross(first)], radius * 1e-3, shape)?)
}

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args().nth(1).ok_or("give a folder to write to")?;
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder)?;
    let accuracy = Volume::new::<cubic_millimeter>(1e-2);
    let chamfered = Metal::block(0.0508, 0.0008, 0.0008);
    let mut expected = Vec::new();
    for (name, cutter, metal) in [
        ("upright", cutter([24.0, 0.0, -4.0], [0.0; 2], 28.5, 0.0, 0.0)?, Metal::block(0.0508, 0.0, 0.0)),
        ("leaning", cutter([-16.0, 18.5, -5.0], [-9.0, 3.0], 28.0, 1.5, 0.0)?, chamfered),
        ("laid_back", cutter([3.0, -25.0, -3.5], [-2.0, 4.0], 26.5, 1.0, 30.0)?, chamfered),
    ] {
        let cut = ReliefCut::new(cutter, metal);
        let mut sheet = CutSheet::of_cut(format!("Wren, cylinder 1, {name} cut"), &cut, cut.volume(accuracy));
        sheet.gasket = Some(Plan::Circle { center: [0.0, 0.0], radius: 0.0535 });
        sheet.holes = vec![
            Hole { name: "head bolt".into(), x: mm(56.0), y: mm(42.0), diameter: mm(12.0) },
            Hole { name: "water".into(), x: mm(0.0), y: mm(-66.0), diameter: mm(8.0) },
        ];
        sheet.dowels =
            vec![Dowel { name: "rear left".into(), x: mm(-56.0), y: mm(48.0), diameter: mm(10.0) }];
        sheet.remarks = vec!["Invented engine, drawn to check the drawings.".into()];
        expected.push(write(folder, name, &sheet, &cut_mesh(&cut))?);
    }
    let pocket =
        FlyCut::new(cutter([19.0, 4.0, -2.2], [6.0, 0.0], 21.5, 1.0, 0.0)?, Metal::Piston { radius: 0.0425 });
    let sheet = CutSheet::of_pocket("Wren, piston 1, intake pocket", &pocket, pocket.volume(accuracy));
    expected.push(write(folder, "pocket", &sheet, &pocket_mesh(&pocket))?);
    std::fs::write(folder.join("expected.json"), serde_json::to_string_pretty(&Value::Array(expected))?)?;
    Ok(())
}

fn write(folder: &Path, name: &str, sheet: &CutSheet, mesh: &Mesh) -> Result<Value, Box<dyn Error>> {
    std::fs::write(folder.join(format!("{name}.dxf")), dxf(&cut_drawing(sheet))?)?;
    std::fs::write(folder.join(format!("{name}.stl")), stl(mesh))?;
    let mut papers = serde_json::Map::new();
    for paper in [Paper::A4, Paper::Letter] {
        let page = template(sheet, paper)?;
        let file = format!("{name}_{}", paper.name().to_lowercase());
        std::fs::write(folder.join(format!("{file}.pdf")), pdf(&page))?;
        std::fs::write(folder.join(format!("{file}.svg")), svg(&page))?;
        papers.insert(file, json!({ "size_mm": paper.size_mm(), "origin_mm": page.origin.to_array() }));
    }
    let (Metal::Block { bore_radius: bore, .. } | Metal::Piston { radius: bore }) = sheet.metal;
    let farthest = sheet.outline.farthest.ok_or("the cut reaches the top")?;
    Ok(json!({
        "name": name,
        "bore_radius_mm": bore * 1e3,
        "top_radius_mm": sheet.metal.top_radius() * 1e3,
        "outline_area_mm2": sheet.outline.area_m2() * 1e6,
        "farthest_mm": (farthest * 1e3).to_array(),
        "volume_mm3": sheet.volume.get::<cubic_millimeter>(),
        "papers": papers,
    }))
}
