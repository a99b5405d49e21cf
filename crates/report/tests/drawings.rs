//! The files of one invented cut: what they hold, and that they are the same each time. Other people's programs read
//! them back in `checks/report_drawings`.

use fit::relief_cut::ReliefCut;
use fit::relief_cutter::{Cutter, Shape};
use fit::relief_mesh_cut::cut_mesh;
use fit::relief_volume::Metal;
use glam::DVec3;
use report::cautions::CAUTIONS;
use report::drawing::{Item, Shape as Drawn};
use report::{CutSheet, Dowel, Layer, Paper, TemplateError, cut_drawing, dxf, pdf, stl, svg, template};
use units::length::millimeter;
use units::volume::cubic_millimeter;
use units::{Length, Volume};

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

/// 1.7 mm beyond a bore toward the front, 4 mm deep.
fn cut(bore_mm: f64) -> ReliefCut {
    let off = bore_mm + 1.7 - 28.5;
    let end = DVec3::new(off, 0.0, -4.0) * 1e-3;
    let shape = Shape::Cutter { corner_radius: mm(1.0) };
    let cutter = Cutter::new(end, DVec3::Z, [DVec3::X, DVec3::Y], 0.0285, shape).expect("a possible cutter");
    ReliefCut::new(cutter, Metal::block(bore_mm * 1e-3, 0.0005, 0.0005))
}

fn sheet(bore_mm: f64) -> CutSheet {
    let mut sheet =
        CutSheet::of_cut("Wren <1> & more", &cut(bore_mm), Volume::new::<cubic_millimeter>(130.0));
    sheet.dowels = vec![Dowel { name: "far".into(), x: mm(210.0), y: mm(40.0), diameter: mm(10.0) }];
    sheet
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn exact_cut_is_a_closed_path_of_two_arcs() {
    let drawing = cut_drawing(&sheet(50.8));
    let cut: Vec<&Item> = drawing.items.iter().filter(|item| item.layer == Layer::Cut).collect();
    let [Item { shape: Drawn::Path { vertices, closed: true }, .. }] = cut.as_slice() else {
        panic!("one closed path, not {cut:?}")
    };
    let radii: Vec<f64> = (0..2)
        .map(|idx| {
            let (from, to) = (vertices[idx], vertices[1 - idx]);
            report::drawing::arc(from.at, to.at, from.bulge).expect("an arc").radius_mm
        })
        .collect();
    // The cutter's own, and the outer edge of the chamfer.
    assert!((radii[0] - 28.5).abs() < 1e-9 && (radii[1] - 51.3).abs() < 1e-9, "{radii:?}");
}

#[test]
fn exact_template_keeps_bore_and_cautions_on_the_paper() {
    for paper in [Paper::A4, Paper::Letter] {
        let page = template(&sheet(50.8), paper).expect("it fits");
        let [width, height] = paper.size_mm();
        for item in &page.drawing.items {
            if let Some([low, high]) = item.bounds() {
                assert!(low.x >= 0.0 && low.y >= 0.0 && high.x <= width && high.y <= height, "{item:?}");
            }
            if let Drawn::Text { at, .. } = &item.shape {
                assert!(at.y > 8.0, "{item:?} is below the paper's printed part");
            }
        }
        let svg = svg(&page);
        for caution in CAUTIONS {
            assert!(svg.contains(caution), "{caution}");
        }
        assert!(svg.contains("Wren &lt;1&gt; &amp; more"));
        // A dowel that is off the sheet is there in words, in both units.
        assert!(
            svg.contains("dowel far: 210.00 mm (8.268 in) to the rear, 40.00 mm (1.575 in) to the right"),
            "{svg}"
        );
        assert!(!svg.contains(r#"id="DOWELS""#));
    }
}

#[test]
fn exact_too_large_a_bore_is_refused() {
    let refused = template(&sheet(99.0), Paper::A4);
    assert!(matches!(refused, Err(TemplateError::TooLarge { width_mm: 190.0, .. })), "{refused:?}");
}

#[test]
fn exact_dxf_says_its_unit_and_layers() {
    let file = text(&dxf(&cut_drawing(&sheet(50.8))).expect("writable"));
    let lines: Vec<&str> = file.lines().map(str::trim).collect();
    let unit = lines.iter().position(|line| *line == "$INSUNITS").expect("a unit");
    assert_eq!(lines[unit + 2], "4");
    assert!(lines.contains(&"LWPOLYLINE"), "light polylines are dropped by older versions");
    for layer in Layer::ALL {
        assert!(lines.contains(&layer.name()), "{}", layer.name());
    }
}

#[test]
fn exact_same_cut_same_bytes() {
    let make = || {
        let page = template(&sheet(50.8), Paper::A4).expect("it fits");
        let drawing = cut_drawing(&sheet(50.8));
        (svg(&page), pdf(&page), dxf(&drawing).expect("writable"), stl(&cut_mesh(&cut(50.8))))
    };
    let (first, second) = (make(), make());
    assert!(first == second);
    assert!(first.1.starts_with(b"%PDF-"));
    let n_triangles = u32::from_le_bytes(first.3[80..84].try_into().expect("four bytes"));
    assert_eq!(first.3.len(), 84 + 50 * n_triangles as usize);
}

#[test]
fn exact_cuts_that_leave_the_deck_whole_are_drawn_without_a_line() {
    let leaning = DVec3::new(-0.28, 0.0, 0.96);
    let across = [DVec3::new(0.96, 0.0, 0.28), DVec3::Y];
    for (what, axis, end) in [
        ("does not reach", DVec3::Z, DVec3::new(10.0, 0.0, -4.0)),
        ("undercuts", leaning, DVec3::new(24.0, 0.0, -14.0)),
    ] {
        let across = if axis == DVec3::Z { [DVec3::X, DVec3::Y] } else { across };
        let shape = Shape::Cutter { corner_radius: mm(0.5) };
        let cutter = Cutter::new(end * 1e-3, axis, across, 0.0285, shape).expect("a possible cutter");
        let cut = ReliefCut::new(cutter, Metal::block(0.0508, 0.0005, 0.0005));
        let sheet = CutSheet::of_cut(what, &cut, Volume::default());
        let drawing = cut_drawing(&sheet);
        assert!(drawing.items.iter().all(|item| item.layer != Layer::Cut), "{what}");
        assert!(template(&sheet, Paper::Letter).is_ok(), "{what}");
        assert!(dxf(&drawing).is_ok(), "{what}");
        assert_eq!(cut_mesh(&cut).n_open_edges(), 0, "{what}");
        assert_eq!(cut.is_empty(), what == "does not reach");
    }
}
