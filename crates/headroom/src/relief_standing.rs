//! What the cuts that a build already carries leave: reliefs in its block and fly-cuts in its crowns. Leaves out the cuts that
//! are proposed, which are `relief.rs`.

use fit::relief_of_piston;
use parts::{Build, Cylinder, Pocket};

use crate::relief::{leaves_less, left_of_all};
use crate::relief_fly_cut::left_of_crown;
use crate::relief_left::LeftLine;
use crate::relief_left_chance::with_chances_of_crown;

/// The cuts of one valve, with what they leave where they leave least.
#[derive(Clone, Debug)]
pub struct StandingCut {
    /// The valve.
    pub valve: String,
    /// Whether it is in the crown; else in bore and deck.
    pub in_crown: bool,
    /// The cylinders that have one.
    pub cylinders: Vec<usize>,
    /// What it leaves; of each thing the line of the cylinder with the least over its limit.
    pub left: Vec<LeftLine>,
}

impl StandingCut {
    /// Lines under a limit that counts.
    pub fn fatal(&self) -> impl Iterator<Item = &LeftLine> {
        self.left.iter().filter(|line| line.is_fatal())
    }
}

/// The cuts of a build by valve: those in the block, then those in the crowns.
pub fn standing_cuts(build: &Build) -> Vec<StandingCut> {
    let in_block = by_valve(build, |cylinder| &cylinder.block.reliefs, |relief| &relief.valve);
    let in_crown = by_valve(build, |cylinder| &cylinder.piston.fly_cuts, |cut| &cut.valve);
    let block = in_block.into_iter().map(|(valve, cuts)| StandingCut {
        left: left_of_all(build, &cuts, &valve),
        cylinders: cuts.iter().map(|(number, _)| *number).collect(),
        in_crown: false,
        valve,
    });
    let crown = in_crown.into_iter().map(|(valve, cuts)| StandingCut {
        left: left_of_crowns(build, &cuts, &valve),
        cylinders: cuts.iter().map(|(number, _)| *number).collect(),
        in_crown: true,
        valve,
    });
    block.chain(crown).filter(|cut: &StandingCut| !cut.left.is_empty()).collect()
}

/// Cuts with the number of their cylinder, valve by valve in the order of the sheet.
fn by_valve<T: Clone>(
    build: &Build,
    cuts_of: impl Fn(&Cylinder) -> &Vec<T>,
    valve_of: impl Fn(&T) -> &String,
) -> Vec<(String, Vec<(usize, T)>)> {
    let mut found: Vec<(String, Vec<(usize, T)>)> = Vec::new();
    for cylinder in &build.cylinders {
        for cut in cuts_of(cylinder) {
            let one = (cylinder.number, cut.clone());
            match found.iter_mut().find(|(valve, _)| valve == valve_of(cut)) {
                Some((_, cuts)) => cuts.push(one),
                None => found.push((valve_of(cut).clone(), vec![one])),
            }
        }
    }
    found
}

fn left_of_crowns(build: &Build, cuts: &[(usize, Pocket)], valve: &str) -> Vec<LeftLine> {
    let mut worst: Vec<LeftLine> = Vec::new();
    for (number, pocket) in cuts {
        let cylinder = build.cylinders.iter().find(|cylinder| cylinder.number == *number);
        let Some(cylinder) = cylinder else { continue };
        let Some(cut) = relief_of_piston::cut_of(cylinder, pocket) else { continue };
        let mut lines = left_of_crown(cylinder, &cut);
        with_chances_of_crown(&mut lines, cylinder, valve);
        for line in lines {
            match worst.iter_mut().find(|known| known.of == line.of) {
                Some(known) if leaves_less(&line, known) => *known = line,
                Some(_) => {}
                None => worst.push(line),
            }
        }
    }
    worst
}
