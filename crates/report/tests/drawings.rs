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

#[test]
fn exact_words_on_a_cut_stand_clear_of_each_other() {
    use report::letters::WordsBox;
    for (x, y) in [(24.0, 0.0), (23.9, 0.5), (17.0, 17.0), (0.3, 24.0), (-20.0, -13.5)] {
        let end = DVec3::new(x, y, -4.0) * 1e-3;
        let shape = Shape::Cutter { corner_radius: mm(1.0) };
        let cutter =
            Cutter::new(end, DVec3::Z, [DVec3::X, DVec3::Y], 0.0285, shape).expect("a possible cutter");
        let cut = ReliefCut::new(cutter, Metal::block(0.0508, 0.0005, 0.0005));
        let drawing = cut_drawing(&CutSheet::of_cut("Wren", &cut, Volume::default()));
        let boxes: Vec<WordsBox> = drawing.items.iter().filter_map(WordsBox::of).collect();
        for (idx, one) in boxes.iter().enumerate() {
            assert!(boxes[..idx].iter().all(|other| !one.meets(other)), "at {x}, {y}");
        }
    }
}

#[test]
fn exact_a_cut_that_is_not_survived_says_so_across_its_drawing() {
    let mut killed = sheet(50.8);
    killed.kills = vec!["leaves 0.18 mm to the top ring".to_owned()];
    let page = template(&killed, Paper::A4).expect("it fits");
    let written = svg(&page);
    assert!(written.contains("Does not survive, do not cut: it leaves 0.18 mm to the top ring."));
    assert!(written.contains(cut_drawing::DOES_NOT_SURVIVE));
    assert!(text(&dxf(&cut_drawing(&killed)).expect("writable")).contains("DO NOT CUT"));
    assert!(!svg(&template(&sheet(50.8), Paper::A4).expect("it fits")).contains("DO NOT CUT"));
}

#[test]
fn exact_a_dye_map_has_its_colours_lines_and_words() {
    use fit::dye_map::{Fineness, Passing, deck, wall};
    use fit::solid::{Obstacle, ValveHead};
    use report::{DyeSheet, DyeSpot, DyeSurface, dye_drawing};
    let block = Obstacle::block(0.045, 0.0, 0.0);
    let seated = DVec3::new(3.0, 25.6, 2.0) * 1e-3;
    let valve = ValveHead::new(0.02, 1e-3, std::f64::consts::FRAC_PI_4, 4e-3, seated, [0.0; 2]);
    let valves = [Passing { valve: &valve, travel_m: 0.01, limit_m: 1.5e-3 }];
    let fine = Fineness { n_columns: 360, n_rows: 30 };
    let map = |limit_words: &str| DyeSheet {
        title: "Wren, cylinder 1: dye map".into(),
        bore_radius_m: 0.045,
        wall: wall(&block, &valves, 0.012, fine).opened_at_widest(),
        deck: deck(&block, &valves, 0.008, fine),
        crown: None,
        spots: vec![DyeSpot {
            on: DyeSurface::Wall,
            point_m: [0.0, 0.045, -0.002],
            words: limit_words.into(),
        }],
        remarks: vec!["No map of the crown: no lobes.".into()],
    };
    let page = dye_drawing(&map("exhaust valve to the block: hits"));
    let [width, height] = page.paper.size_mm();
    for item in &page.drawing.items {
        let Some([low, high]) = item.bounds() else { continue };
        assert!(low.x >= 0.0 && low.y >= 0.0 && high.x <= width && high.y <= height, "{item:?}");
    }
    // Full size: the strip is as long as the bore is round.
    let strip = page.drawing.items.iter().filter(|item| item.layer == Layer::Bore).find_map(Item::bounds);
    let [low, high] = strip.expect("a strip");
    assert!((high.x - low.x - std::f64::consts::TAU * 45.0).abs() < 1e-9);
    for layer in [Layer::Dye, Layer::Hatch, Layer::Contact, Layer::Limit] {
        assert!(page.drawing.items.iter().any(|item| item.layer == layer), "{}", layer.name());
    }
    let written = svg(&page);
    for said in
        ["hits: the parts run into each other", "1 exhaust valve to the block: hits", "No map of the crown"]
    {
        assert!(written.contains(said), "no {said}");
    }
    assert!(CAUTIONS.iter().all(|caution| written.contains(caution)));
    assert_eq!(written, svg(&dye_drawing(&map("exhaust valve to the block: hits"))));
}

#[cfg(feature = "png")]
#[test]
fn exact_a_picture_has_the_size_of_its_paper() {
    let page = template(&sheet(50.8), Paper::A4).expect("it fits");
    let picture = report::png(&page, 72.0).expect("painted");
    assert!(picture.starts_with(b"\x89PNG"));
    let side = |at: usize| u32::from_be_bytes(picture[at..at + 4].try_into().expect("four bytes"));
    // 210 by 297 mm at 72 dots to the inch.
    assert_eq!([side(16), side(20)], [595, 842]);
    assert!(picture.windows(4).any(|chunk| chunk == b"pHYs"));
    assert_eq!(picture, report::png(&page, 72.0).expect("painted"));
}
