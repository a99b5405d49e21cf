//! The files a machinist works from, one set for each cut: full-size templates on A4 and Letter (PDF, SVG and PNG), DXF, and
//! STL of the metal removed; and the dye map of the worst cylinder. Leaves out what is on them.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use fit::gasket_edge::is_assumed;
use fit::relief_cut::ReliefCut;
use fit::relief_fly_cut::FlyCut;
use fit::relief_mesh::Mesh;
use fit::relief_mesh_cut::cut_mesh;
use fit::relief_mesh_pocket::pocket_mesh;
use fit::relief_to_holes::Hole;
use fit::solid::Plan;
use headroom::dye_map::dye_map;
use headroom::relief::{Proposed, ReliefAnswer};
use headroom::relief_left::LeftLine;
use headroom::relief_words::{kills, left_words};
use headroom::words::valve_name;
use parts::{Build, Gasket, HoleKind, Shape};
use report::{CutSheet, Dowel, Paper, Sheet, cut_drawing, dxf, pdf, stl, svg, template};
use units::{Length, show_both};

use super::relief_dye;

/// Writes a set of files for each cut into a folder, which is made if it is not there, and returns their paths.
///
/// A template that is larger than a paper is left out on that paper and said in the notes, which come second.
pub fn write(folder: &Path, build: &Build, answer: &ReliefAnswer) -> Result<(Vec<PathBuf>, Vec<String>)> {
    fs::create_dir_all(folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    let mut files = Files { folder, written: Vec::new(), notes: Vec::new() };
    for cut in drawn_cuts(build, answer) {
        files.write_set(&cut.name, &cut.sheet, &cut.mesh())?;
    }
    let dye = dye_map(build, None)?;
    let name = format!("dye-map-cylinder-{}", dye.cylinder);
    let page = relief_dye::sheet(&dye);
    files.write(&format!("{name}.svg"), svg(&page).as_bytes())?;
    files.write_picture(&name, &page)?;
    Ok((files.written, files.notes))
}

/// A cut with what is drawn of it.
pub struct DrawnCut<'a> {
    /// Part of the names of its files.
    pub name: String,
    /// What is drawn.
    pub sheet: CutSheet,
    metal: Removed<'a>,
}

enum Removed<'a> {
    Block(&'a ReliefCut),
    Crown(&'a FlyCut),
}

impl DrawnCut<'_> {
    fn mesh(&self) -> Mesh {
        match self.metal {
            Removed::Block(cut) => cut_mesh(cut),
            Removed::Crown(cut) => pocket_mesh(cut),
        }
    }
}

/// Every cut that takes metal: those in the block, then those in the crown.
pub fn drawn_cuts<'a>(build: &Build, answer: &'a ReliefAnswer) -> Vec<DrawnCut<'a>> {
    let mut drawn = Vec::new();
    for relief in &answer.valves {
        let Ok(proposed) = &relief.cut else { continue };
        let number = relief.cylinders.first().copied().unwrap_or(1);
        if !proposed.cut.is_empty() {
            drawn.push(DrawnCut {
                name: file_name(&relief.valve, "block", number, proposed.fatal().next().is_some()),
                sheet: block_sheet(build, &relief.valve, number, proposed),
                metal: Removed::Block(&proposed.cut),
            });
        }
    }
    for relief in &answer.pistons {
        let Ok(proposed) = &relief.cut else { continue };
        if !proposed.cut.is_empty() {
            let title = title(build, &relief.valve, relief.cylinder, "pocket in the crown");
            let mut sheet = CutSheet::of_pocket(title, &proposed.cut, proposed.volume);
            sheet.remarks = remarks(&proposed.left);
            sheet.kills = kills(proposed.fatal());
            drawn.push(DrawnCut {
                name: file_name(&relief.valve, "piston", relief.cylinder, proposed.fatal().next().is_some()),
                sheet,
                metal: Removed::Crown(&proposed.cut),
            });
        }
    }
    drawn
}

fn title(build: &Build, valve: &str, cylinder: usize, what: &str) -> String {
    format!("{}, cylinder {cylinder}, {}: {what}", build.name, valve_name(valve))
}

fn block_sheet(build: &Build, valve: &str, number: usize, proposed: &Proposed) -> CutSheet {
    let title = title(build, valve, number, "cut in bore and deck");
    let mut sheet = CutSheet::of_cut(title, &proposed.cut, proposed.volume);
    let cylinder = build.cylinders.iter().find(|cylinder| cylinder.number == number);
    let opening = cylinder.map(|cylinder| &cylinder.gasket.opening);
    sheet.gasket = opening.filter(|opening| !is_assumed(opening)).map(Plan::of);
    sheet.fire_ring = cylinder.map_or_else(Vec::new, |cylinder| ring_edges(&cylinder.gasket));
    let holes = cylinder.map_or(&[][..], |cylinder| &cylinder.block.metal.holes);
    for hole in holes {
        match hole.kind {
            HoleKind::Dowel => sheet.dowels.push(Dowel {
                name: hole.name.clone(),
                x: hole.x.value,
                y: hole.y.value,
                diameter: hole.diameter.value,
            }),
            _ => sheet.holes.push(Hole::from(hole)),
        }
    }
    sheet.remarks = remarks(&proposed.left);
    sheet.kills = kills(proposed.fatal());
    sheet
}

/// Inner and outer edge of the fire ring or bead, as far as they were measured.
fn ring_edges(gasket: &Gasket) -> Vec<Plan> {
    let Some(inset) = gasket.ring_inset.filter(|_| !is_assumed(&gasket.opening)) else { return Vec::new() };
    let outer = gasket.ring_width.map(|width| inset.value + width.value);
    let edge = |out: Length| {
        let mut edge = gasket.opening.clone();
        match &mut edge.shape {
            Shape::Circle { diameter } => diameter.value += 2.0 * out,
            Shape::Polygon { growth, .. } => growth.value += out,
        }
        Plan::of(&edge)
    };
    [Some(inset.value), outer].into_iter().flatten().map(edge).collect()
}

/// What the cut leaves, a line each.
fn remarks(left: &[LeftLine]) -> Vec<String> {
    let line = |line: &LeftLine| {
        let left = line.left.map_or_else(|| "not measured".to_owned(), show_both);
        format!("Leaves {}: {left} (limit {}), {}.", left_words(line.of), show_both(line.limit), line.word())
    };
    left.iter().map(line).collect()
}

/// A cut that is not survived says so in the name of its files too: a mesh has no other place for it.
fn file_name(valve: &str, part: &str, cylinder: usize, is_fatal: bool) -> String {
    let fate = if is_fatal { "-does-not-survive" } else { "" };
    format!("{}-{part}-cylinder-{cylinder}{fate}", file_word(valve))
}

/// A sheet's name of a valve as part of a file's name.
fn file_word(name: &str) -> String {
    name.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect()
}

struct Files<'a> {
    folder: &'a Path,
    written: Vec<PathBuf>,
    notes: Vec<String>,
}

impl Files<'_> {
    fn write_set(&mut self, name: &str, sheet: &CutSheet, mesh: &Mesh) -> Result<()> {
        self.write(&format!("{name}.dxf"), &dxf(&cut_drawing(sheet))?)?;
        self.write(&format!("{name}.stl"), &stl(mesh))?;
        for paper in [Paper::A4, Paper::Letter] {
            match template(sheet, paper) {
                Ok(page) => {
                    let file = format!("{name}-{}", paper.name().to_lowercase());
                    self.write(&format!("{file}.pdf"), &pdf(&page))?;
                    self.write(&format!("{file}.svg"), svg(&page).as_bytes())?;
                    self.write_picture(name, &page)?;
                }
                Err(reason) => {
                    self.notes.push(format!("no template of {name} on {}: {reason}", paper.name()));
                }
            }
        }
        Ok(())
    }

    /// One picture of a drawing: of the first paper that it fits.
    #[cfg(feature = "png")]
    fn write_picture(&mut self, name: &str, page: &Sheet) -> Result<()> {
        let file = format!("{name}.png");
        if self.written.contains(&self.folder.join(&file)) {
            return Ok(());
        }
        self.write(&file, &report::png(page, report::SCREEN_DPI)?)
    }

    #[cfg(not(feature = "png"))]
    fn write_picture(&mut self, _name: &str, _page: &Sheet) -> Result<()> {
        Ok(())
    }

    fn write(&mut self, name: &str, content: &[u8]) -> Result<()> {
        let path = self.folder.join(name);
        fs::write(&path, content).with_context(|| format!("{} cannot be written", path.display()))?;
        self.written.push(path);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use headroom::relief::{ReliefOptions, relief};
    use report::Layer;
    use report::drawing::Item;
    use report::letters::WordsBox;

    use super::*;
    use crate::cli::sheets;

    #[test]
    fn exact_no_words_stand_on_others_on_any_demo() {
        let demos = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demos");
        let mut n_pages = 0;
        for (base, swap) in [
            ("heron.build.toml", "heron-with-bittern-head.swap.toml"),
            ("kestrel.build.toml", "kestrel-big-valves.swap.toml"),
            ("dunlin.build.toml", "dunlin-rocker.swap.toml"),
            ("dunlin.build.toml", "dunlin-fly-cut.swap.toml"),
        ] {
            let candidate = sheets::candidate(&demos.join(base), &demos.join(swap)).expect("a demo");
            let answer = relief(&candidate.build, &ReliefOptions::default());
            for cut in drawn_cuts(&candidate.build, &answer) {
                for paper in [Paper::A4, Paper::Letter] {
                    let page = template(&cut.sheet, paper).expect("demos fit the paper");
                    // A warning lies under everything.
                    let words: Vec<&Item> =
                        page.drawing.items.iter().filter(|item| item.layer != Layer::Warning).collect();
                    let boxes: Vec<(WordsBox, &Item)> =
                        words.iter().filter_map(|item| WordsBox::of(item).zip(Some(*item))).collect();
                    for (idx, (one, item)) in boxes.iter().enumerate() {
                        for (other, on) in &boxes[..idx] {
                            assert!(!one.meets(other), "{}: {item:?} on {on:?}", cut.sheet.title);
                        }
                        let [width, height] = paper.size_mm();
                        assert!(
                            one.corners()
                                .iter()
                                .all(|at| 0.0 < at.x && at.x < width && 0.0 < at.y && at.y < height),
                            "{}: {item:?} is off the paper",
                            cut.sheet.title
                        );
                    }
                    n_pages += 1;
                }
            }
        }
        assert!(n_pages > 8, "{n_pages} pages");
    }
}
