//! `headroom relief`: what to cut where a valve has no room, whether the engine survives it, and the ways around it.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};
use clap::{Args, ValueEnum};
use fit::relief_cutter::Shape;
use headroom::fallback::Fallback;
use headroom::relief::{Outcome, Proposed, ReliefAnswer, ReliefOptions, ValveRelief, relief};
use headroom::relief_fly_cut::{PistonRelief, ProposedPocket};
use headroom::relief_left::LeftLine;
use headroom::relief_sheet::cuts_as_tables;
use headroom::relief_standing::StandingCut;
use headroom::relief_wire::ReliefWire;
use headroom::relief_words::{CUT_CAUTIONS, against, changed_words, left_words, verdict};
use headroom::words;
use units::{Angle, Length, Quantity, UnitSystem, Volume, show_both, show_decimals};

use super::output::{coloured, heading, print, print_json, status, table, wrapped};
use super::{Common, Format, relief_drawings, relief_dye, sheets};
use crate::exit::Exit;

/// What to cut.
#[derive(Args, Debug)]
pub struct ReliefArgs {
    /// The build sheet (*.build.toml)
    build: PathBuf,
    /// Judge this swap sheet (or other build sheet) on top of the build
    #[arg(long, value_name = "SHEET")]
    candidate: Option<PathBuf>,
    /// How the relief is made
    #[arg(long, value_enum, default_value = "cutter")]
    shape: ShapeArg,
    /// Radius between floor and wall of the cut
    #[arg(long, default_value = "1 mm", value_parser = quantity::<Length>)]
    corner: Length,
    /// Angle a hand-blended wall is laid back from the valve's axis
    #[arg(long, default_value = "30 deg", value_parser = quantity::<Angle>)]
    layback: Angle,
    /// Travel beyond full lift to allow for a floating valve
    #[arg(long, default_value = "0 mm", value_parser = quantity::<Length>)]
    float: Length,
    /// Thickness of the deck plate beside the bore
    #[arg(long, value_parser = quantity::<Length>)]
    deck_thickness: Option<Length>,
    /// Thickness of the piston crown where a pocket goes
    #[arg(long, value_parser = quantity::<Length>)]
    crown_thickness: Option<Length>,
    /// Write the dye map, wall, deck and crown coloured by the gap, as .svg, .png or .pdf
    #[arg(long, value_name = "FILE")]
    dye: Option<PathBuf>,
    /// The cylinder of the dye map; else the one where a valve comes worst
    #[arg(long, value_name = "NUMBER", requires = "dye")]
    cylinder: Option<usize>,
    /// Write the drawings of every cut into this folder: templates as PDF, SVG and PNG, DXF, STL; and the dye map
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Write a swap sheet (or build sheet, as the candidate is one) with the cuts made
    #[arg(long, value_name = "SHEET")]
    apply: Option<PathBuf>,
    #[command(flatten)]
    common: Common,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum ShapeArg {
    /// A cutter plunged down the valve's axis
    Cutter,
    /// Blended by hand, its wall laid back toward the deck
    Layback,
}

fn quantity<Q: Quantity>(text: &str) -> Result<Q, String> {
    units::parse::<Q>(text).map_err(|error| error.to_string())
}

impl ReliefArgs {
    fn options(&self) -> ReliefOptions {
        let shape = match self.shape {
            ShapeArg::Cutter => Shape::Cutter { corner_radius: self.corner },
            ShapeArg::Layback => Shape::LaidBack { corner_radius: self.corner, layback: self.layback },
        };
        ReliefOptions {
            shape,
            float: self.float,
            deck_thickness: self.deck_thickness,
            crown_thickness: self.crown_thickness,
        }
    }
}

/// Answers it.
pub fn run(args: &ReliefArgs) -> Result<Exit> {
    if args.corner.value < 0.0 || args.float.value < 0.0 || args.layback.value < 0.0 {
        return Err(anyhow!("--corner, --float and --layback are not negative"));
    }
    let build = match &args.candidate {
        Some(candidate) => sheets::candidate(&args.build, candidate)?.build,
        None => sheets::build(&args.build)?.build,
    };
    let mut answer = relief(&build, &args.options());
    let applied = args.apply.as_ref().map(|path| write_applied(path, args, &answer)).transpose()?;
    let mut written = match &args.out {
        Some(folder) => {
            let (written, notes) = relief_drawings::write(folder, &build, &answer)?;
            answer.notes.extend(notes);
            written
        }
        None => Vec::new(),
    };
    written.extend(applied);
    if let Some(path) = &args.dye {
        relief_dye::write(path, &build, args.cylinder)?;
        written.push(path.clone());
    }
    let sentences = verdict(&answer);
    let system = args.common.system();
    match args.common.format {
        Format::Json => print_json(&ReliefWire::new(&answer, sentences))?,
        Format::Text if args.common.quiet => {
            print(&sentences.first().map_or(String::new(), |sentence| wrapped(sentence, 0)));
        }
        Format::Text => {
            let mut out = format!("{}\n\n{}", answer.name, wrapped(&sentences.join(" "), 0));
            for relief in &answer.valves {
                out.push_str(&valve_text(relief, answer.n_cylinders, system));
            }
            for relief in &answer.pistons {
                out.push_str(&piston_text(relief));
            }
            for cut in &answer.standing {
                out.push_str(&standing_text(cut));
            }
            if !answer.notes.is_empty() {
                let lines: String =
                    answer.notes.iter().map(|note| wrapped(&format!("  {note}"), 4)).collect();
                out.push_str(&format!("{}{lines}", heading("Notes")));
            }
            if !written.is_empty() {
                let lines: String = written.iter().map(|path| format!("  {}\n", path.display())).collect();
                out.push_str(&format!("{}{lines}", heading("Written")));
            }
            let cautions: String = CUT_CAUTIONS.iter().map(|caution| wrapped(caution, 0)).collect();
            out.push_str(&format!("\n{cautions}"));
            print(&coloured(&out));
        }
    }
    let stands = answer.standing.iter().all(|cut| cut.fatal().next().is_none());
    Ok(if answer.outcome() == Outcome::ClearsAsItIs && stands { Exit::Clear } else { Exit::NotClear })
}

/// Writes the candidate with the cuts after it, or a swap sheet of the cuts alone on the build.
fn write_applied(path: &Path, args: &ReliefArgs, answer: &ReliefAnswer) -> Result<PathBuf> {
    let text = match &args.candidate {
        None => {
            let name = format!("{}, cut", answer.name).replace(['"', '\\'], "'");
            format!("format = 1\nname = \"{name}\"\n\n{}", cuts_as_tables(answer, "change."))
        }
        Some(candidate) => {
            let text = fs::read_to_string(candidate)
                .with_context(|| format!("{} cannot be read", candidate.display()))?;
            for (table, is_cut) in
                [("relief]]", !answer.valves.is_empty()), ("fly_cut]]", !answer.pistons.is_empty())]
            {
                if is_cut && text.contains(table) {
                    let name = candidate.display();
                    return Err(anyhow!(
                        "{name} has a [[...{table} of its own: put the new cut in its place by hand"
                    ));
                }
            }
            let starts = |start: &str| text.lines().any(|line| line.trim_start().starts_with(start));
            let is_swap =
                ["[replace", "[[replace", "[change", "[[change", "take", "from"].into_iter().any(starts);
            let prefix = if is_swap { "change." } else { "" };
            format!("{}\n\n{}", text.trim_end(), cuts_as_tables(answer, prefix))
        }
    };
    fs::write(path, text).with_context(|| format!("{} cannot be written", path.display()))?;
    Ok(path.to_owned())
}

fn valve_text(relief: &ValveRelief, n_cylinders: usize, system: UnitSystem) -> String {
    let subject = format!("{} to {}", words::valve_name(&relief.valve), against(relief.check));
    let mut out = heading(&capitalised(&subject));
    let contact = relief
        .first_contact
        .map_or(String::new(), |lift| format!(", first contact at {} lift", show_both(lift)));
    out.push_str(&wrapped(
        &format!(
            "  {} {} on {}{contact}, {} (limit {}: {})",
            status(relief.status),
            show_both(relief.gap),
            words::cylinders(&relief.cylinders, n_cylinders),
            words::place(&relief.place, system),
            show_both(relief.limit),
            relief.limit_source
        ),
        15,
    ));
    match &relief.cut {
        Ok(cut) => out.push_str(&cut_text(cut, relief)),
        Err(reason) => out.push_str(&wrapped(&format!("  no cut: {reason}"), 4)),
    }
    if !relief.with_cut.is_empty() {
        out.push_str(&format!("\n  The cut survives with\n{}", ways_table(&relief.with_cut)));
    }
    out.push_str(&fallbacks_text(&relief.fallbacks));
    out
}

/// With its first letter in upper case.
fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

fn cut_text(proposed: &Proposed, relief: &ValveRelief) -> String {
    let (cut, cutter) = (&proposed.cut, &proposed.cut.cutter);
    let (first, n_alike) = (relief.cylinders.first().copied().unwrap_or(1), relief.cylinders.len());
    let metre = Length::new::<units::length::meter>;
    let lean = cutter.sin_lean().asin().to_degrees();
    let azimuth = cut.azimuth().map_or(String::new(), |azimuth| {
        let clockwise = (-azimuth.value.to_degrees()).rem_euclid(360.0);
        let hour = match (clockwise / 30.0).round() as u32 % 12 {
            0 => 12,
            hour => hour,
        };
        format!("{hour} o'clock, {clockwise:.1}° clockwise from the front")
    });
    let rows = [
        (
            "cutter",
            format!(
                "{} diameter, corner {}",
                show_both(metre(2.0 * cutter.radius)),
                show_both(metre(cutter.corner))
            ),
        ),
        (
            "its end, from the bore centre",
            format!(
                "{} to the front, {} to the left, {} below the deck",
                show_both(metre(cutter.end.x)),
                show_both(metre(cutter.end.y)),
                show_both(metre(-cutter.end.z))
            ),
        ),
        (
            "its axis",
            if cutter.is_upright() {
                "along the bore".to_owned()
            } else {
                format!("leans {lean:.2}° as the valve does")
            },
        ),
        ("overhang beyond the bore", show_both(cut.overhang())),
        ("chord in the wall", show_both(cut.chord())),
        ("depth below the deck", show_both(cut.depth())),
        ("where", azimuth),
        ("deck removed", show_both(cut.deck_area())),
        ("metal removed", cc(proposed.volume)),
        ("compression", format!("{:.2} to {:.2}", proposed.compression[0], proposed.compression[1])),
        (
            "gap once it is cut",
            format!("{} (limit {})", show_both(proposed.gap_after), show_both(relief.limit)),
        ),
    ];
    let rows: Vec<Vec<String>> = rows.into_iter().map(|(name, value)| vec![name.to_owned(), value]).collect();
    let mirrored = if n_alike > 1 { " (mirrored on a cylinder that mirrors it)" } else { "" };
    let title = format!("The cut, as on cylinder {first}{mirrored}");
    format!("\n  {title}\n{}{}", table(&rows, &[]), left_text(&proposed.left, first))
}

/// Which side of the crown's flat a depth is on: the floor's middle under a leaning valve may be above it.
fn level(depth: Length) -> String {
    let side = if depth.value < 0.0 { "above" } else { "below" };
    format!("{} {side} the crown's flat, along the cutter's axis", show_both(depth.abs()))
}

/// A volume fine enough for small cuts.
fn cc(volume: Volume) -> String {
    let [metric, inch] =
        [UnitSystem::Metric, UnitSystem::Inch].map(|system| show_decimals(volume, system, 3));
    format!("{metric} ({inch})")
}

fn left_text(left: &[LeftLine], cylinder: usize) -> String {
    if left.is_empty() {
        return String::new();
    }
    format!("\n  What it leaves\n{}", table(&left_rows(left, cylinder), &[]))
}

/// What a cut leaves, with limits and their sources; the first row is the head.
pub fn left_rows(left: &[LeftLine], cylinder: usize) -> Vec<Vec<String>> {
    let mut rows = vec![
        ["", "what it leaves", "left", "limit", "chance it is less", "who says so"]
            .map(str::to_owned)
            .to_vec(),
    ];
    rows.extend(left.iter().map(|line| {
        let left = line.left.map_or_else(
            || format!("measure: {}", line.needed.unwrap_or("a reading is missing")),
            |left| format!("{} ± {}", show_both(left), show_decimals(line.tolerance, UnitSystem::Metric, 2)),
        );
        let chance = line.chance_under_limit.map_or_else(String::new, words::chance);
        let word = line.word().to_owned();
        let on =
            if line.cylinder == cylinder { String::new() } else { format!(", cylinder {}", line.cylinder) };
        vec![
            word,
            format!("{}{on}", left_words(line.of)),
            left,
            show_both(line.limit),
            chance,
            line.source.clone(),
        ]
    }));
    rows
}

/// A cut that is there already, and what it leaves.
fn standing_text(cut: &StandingCut) -> String {
    let what = if cut.in_crown { "the pocket in the crown" } else { "the relief in bore and deck" };
    let valve = words::valve_name(&cut.valve);
    let first = cut.cylinders.first().copied().unwrap_or(1);
    format!("{}{}", heading(&format!("There already: {what} for the {valve}")), left_text(&cut.left, first))
}

fn piston_text(relief: &PistonRelief) -> String {
    let valve = words::valve_name(&relief.valve);
    let mut out = heading(&format!("{} to piston", capitalised(&valve)));
    out.push_str(&wrapped(
        &format!(
            "  {} {} on cylinder {} (limit {}: {})",
            status(relief.status),
            show_both(relief.gap),
            relief.cylinder,
            show_both(relief.limit),
            relief.limit_source
        ),
        15,
    ));
    match &relief.cut {
        Ok(cut) => out.push_str(&pocket_text(cut, relief)),
        Err(reason) => out.push_str(&wrapped(&format!("  no pocket: {reason}"), 4)),
    }
    out.push_str(&fallbacks_text(&relief.fallbacks));
    out
}

fn pocket_text(proposed: &ProposedPocket, relief: &PistonRelief) -> String {
    let cut = &proposed.cut;
    let [x, y] = cut.floor_center();
    let mut rows = vec![
        ("cutter", format!("{} diameter", show_both(cut.diameter()))),
        (
            "centre of the cut, from the bore centre",
            format!("{} to the front, {} to the left", show_both(x), show_both(y)),
        ),
        ("floor centre", level(cut.floor_depth())),
        ("lowest point below the flat", show_both(cut.depth())),
        ("added to the space above the crown", cc(proposed.volume)),
        ("compression", format!("{:.2} to {:.2}", proposed.compression[0], proposed.compression[1])),
        (
            "gap once it is cut",
            format!("{} (limit {})", show_both(proposed.gap_after), show_both(relief.limit)),
        ),
    ];
    if let Some([gap, limit]) = proposed.radial_after {
        rows.push(("gap to the pocket's side", format!("{} (limit {})", show_both(gap), show_both(limit))));
    }
    if cut.breaks_edge() {
        rows.push(("edge", "the pocket comes out of the piston's side".to_owned()));
    }
    let rows: Vec<Vec<String>> = rows.into_iter().map(|(name, value)| vec![name.to_owned(), value]).collect();
    format!("\n  The pocket\n{}{}", table(&rows, &[]), left_text(&proposed.left, relief.cylinder))
}

fn fallbacks_text(fallbacks: &[Fallback]) -> String {
    if fallbacks.is_empty() {
        return "\n  Without a cut: nothing sensible does it.\n".to_owned();
    }
    format!("\n  Other ways, without a cut, cheapest first\n{}", ways_table(fallbacks))
}

fn ways_table(fallbacks: &[Fallback]) -> String {
    table(&ways_rows(fallbacks), &[1, 2, 3])
}

/// Ways around a cut with their price; the first row is the head.
pub fn ways_rows(fallbacks: &[Fallback]) -> Vec<Vec<String>> {
    let head =
        ["what would just do", "compression", "curtain", "valve area", "means", "then under its limit"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for fallback in fallbacks {
        let changes: Vec<String> = fallback.changes.iter().map(changed_words).collect();
        let work: Vec<&str> = fallback.changes.iter().map(|changed| changed.change.work()).collect();
        let price = &fallback.price;
        let short: Vec<String> = fallback
            .newly_short
            .iter()
            .map(|(check, valve)| match valve {
                Some(valve) => format!("{} ({valve})", check.key().replace('_', " ")),
                None => check.key().replace('_', " "),
            })
            .collect();
        rows.push(vec![
            changes.join("; "),
            format!("{:+.2}", price.compression[1] - price.compression[0]),
            format!("{:+.1} %", price.curtain_percent),
            format!("{:+.1} %", price.head_area_percent),
            work.join("; "),
            short.join(", "),
        ]);
    }
    rows
}
