//! `headroom lift`: how the valves are moved, and whether the springs keep up.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use clap::Args;
use headroom::lift::{DutyLift, LiftAnswer, LiftOptions, SpringsAnswer, duty_word, lift};
use headroom::lift_trouble::LEAST_SURGE_ORDER;
use headroom::lift_wire::LiftWire;
use headroom::{lift_curve, lift_svg, lift_words};
use parts::cam::LobeSource;
use parts::{Build, Duty};
use units::angle::degree;
use units::angular_velocity::revolution_per_second;
use units::{AngularVelocity, UnitSystem, show};

use super::output::{heading, print, print_json, table, wrapped};
use super::picture::write_png;
use super::{Common, Format, sheets};
use crate::exit::Exit;

/// Which build.
#[derive(Args, Debug)]
pub struct LiftArgs {
    /// The build sheet (*.build.toml)
    build: PathBuf,
    /// A swap sheet (*.swap.toml) or second build sheet: the valve gear with it
    #[arg(long, value_name = "SHEET")]
    candidate: Option<PathBuf>,
    /// The highest engine speed used ("6500 rpm"), where the sheet's [use] is not meant: springs and contacts are judged
    /// there
    #[arg(long, value_name = "SPEED", value_parser = units::parse::<AngularVelocity>)]
    revs: Option<AngularVelocity>,
    /// The intake lobe from a measured lift table (CSV with a head such as cam_deg,lift_mm) in place of the sheet's
    #[arg(long, value_name = "FILE")]
    intake_table: Option<PathBuf>,
    /// The exhaust lobe from such a table
    #[arg(long, value_name = "FILE")]
    exhaust_table: Option<PathBuf>,
    /// Write lift, velocity and acceleration by crank degree
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Draw the curves
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// The same as PNG
    #[arg(long, value_name = "FILE")]
    png: Option<PathBuf>,
    #[command(flatten)]
    common: Common,
}

/// Answers it.
pub fn run(args: &LiftArgs) -> Result<Exit> {
    let sheet = sheets::build(&args.build)?;
    let candidate = args.candidate.as_deref().map(|path| sheets::candidate(&args.build, path)).transpose()?;
    let (build, of_sheet) = candidate
        .as_ref()
        .map_or((&sheet.build, &sheet.notes), |candidate| (&candidate.build, &candidate.notes));
    let mut build = build.clone();
    put_table(&mut build, Duty::Intake, args.intake_table.as_deref())?;
    put_table(&mut build, Duty::Exhaust, args.exhaust_table.as_deref())?;
    let build = &build;
    let revs = args.revs.or(build.used.rev_limit.map(|limit| limit.value));
    let answer = lift(build, &LiftOptions { revs });
    let system = args.common.system();
    let verdict = lift_words::verdict(&answer, system);
    let notes = notes(&answer, of_sheet, system);
    write(args.csv.as_deref(), || lift_curve::csv(&answer, system))?;
    write(args.svg.as_deref(), || lift_svg::svg(&answer, system))?;
    write_png(args.png.as_deref(), || lift_svg::svg(&answer, system))?;
    match args.common.format {
        Format::Json => print_json(&LiftWire::new(&answer, verdict, notes))?,
        Format::Text if args.common.quiet => print(&wrapped(verdict.first().map_or("", String::as_str), 0)),
        Format::Text => print(&text(&answer, &verdict, &notes, system)),
    }
    Ok(exit(&answer))
}

/// Puts a measured table in the place of a lobe's shape; timing and train stay those of the sheet.
fn put_table(build: &mut Build, duty: Duty, path: Option<&Path>) -> Result<()> {
    let Some(path) = path else { return Ok(()) };
    let word = duty_word(duty);
    for cylinder in &mut build.cylinders {
        let gear = match duty {
            Duty::Intake => &mut cylinder.gear.intake,
            Duty::Exhaust => &mut cylinder.gear.exhaust,
        };
        let Some(gear) = gear else {
            bail!("{}: the sheet gives the {word} lobe no place and no train yet", path.display());
        };
        gear.lobe.source = LobeSource::Table(sheets::lobe_table(path, &gear.train)?);
    }
    Ok(())
}

fn exit(answer: &LiftAnswer) -> Exit {
    if !answer.refused.is_empty() || answer.duties.iter().any(|one| matches!(one.springs, Some(Err(_)))) {
        return Exit::BadInput;
    }
    if answer.troubles.is_empty() { Exit::Clear } else { Exit::NotClear }
}

fn write(path: Option<&Path>, content: impl FnOnce() -> String) -> Result<()> {
    let Some(path) = path else { return Ok(()) };
    fs::write(path, content()).with_context(|| format!("{} cannot be written", path.display()))
}

fn notes(answer: &LiftAnswer, of_sheet: &[String], system: UnitSystem) -> Vec<String> {
    let of_lobes = answer.duties.iter().flat_map(|one| {
        let word = duty_word(one.duty);
        one.notes.iter().map(move |note| format!("{word} lobe: {note}"))
    });
    let stated = answer.duties.iter().filter_map(|one| lift_words::disagreement(one, system));
    let refused = answer.duties.iter().filter_map(|one| match &one.springs {
        Some(Err(why)) => Some(format!("{} springs cannot be used: {why}", duty_word(one.duty))),
        _ => None,
    });
    refused.chain(of_lobes).chain(stated).chain(of_sheet.iter().cloned()).collect()
}

fn text(answer: &LiftAnswer, verdict: &[String], notes: &[String], system: UnitSystem) -> String {
    let mut out = format!("{}\n\n{}", answer.build, wrapped(&verdict.join(" "), 0));
    if !answer.duties.is_empty() {
        out.push_str(&lift_text(answer, system));
        out.push_str(&events_text(answer));
        out.push_str(&lobe_text(answer, system));
        out.push_str(&springs_text(answer, system));
    }
    out.push_str(&super::check::notes_text(notes));
    out.push_str(&format!("\n{}", wrapped(lift_words::CAUTION, 0)));
    out
}

/// A row of a table with a column for each duty: its name, and what stands in a column.
type Row<'r> = (&'static str, &'r dyn Fn(&DutyLift) -> Option<String>);

/// A table with a column for each duty; rows in which no column has anything are left out.
fn columns(answer: &LiftAnswer, rows: &[Row]) -> String {
    let mut cells = vec![vec![String::new()]];
    cells[0].extend(answer.duties.iter().map(|one| duty_word(one.duty).to_owned()));
    for (name, of) in rows {
        let values: Vec<Option<String>> = answer.duties.iter().map(of).collect();
        if values.iter().any(Option::is_some) {
            let mut row = vec![(*name).to_owned()];
            row.extend(values.into_iter().map(|value| value.unwrap_or_else(|| "not known".to_owned())));
            cells.push(row);
        }
    }
    if cells.len() > 1 { table(&cells, &[1, 2]) } else { String::new() }
}

fn lift_text(answer: &LiftAnswer, system: UnitSystem) -> String {
    let near = |idx: usize| move |one: &DutyLift| Some(show(one.near_tdc[idx].1, system));
    let table = columns(
        answer,
        &[
            ("greatest lift, hot", &|one| Some(show(one.greatest, system))),
            ("at", &|one| Some(centreline(one))),
            ("10° before top dead centre", &near(0)),
            ("at top dead centre", &near(1)),
            ("10° after top dead centre", &near(2)),
            ("phaser fully advanced", &|one| phased(one, system, |degrees| degrees > 0.0)),
            ("phaser fully retarded", &|one| phased(one, system, |degrees| degrees < 0.0)),
            ("area under the curve", &|one| lift_words::area(one, system)),
        ],
    );
    format!("{}{table}", heading("Lift of the valves"))
}

/// Centreline and lift at top dead centre at one end of a phaser.
fn phased(one: &DutyLift, system: UnitSystem, end: fn(f64) -> bool) -> Option<String> {
    let end = one.phased.iter().find(|phased| end(phased.advance.degrees()))?;
    let (centreline, lift) = (lift_words::degrees(end.centreline), show(end.at_tdc, system));
    Some(format!("{centreline}, {lift} at top"))
}

fn centreline(one: &DutyLift) -> String {
    let side = match one.duty {
        Duty::Intake => "after",
        Duty::Exhaust => "before",
    };
    format!("{} {side}", lift_words::degrees(one.centreline))
}

fn events_text(answer: &LiftAnswer) -> String {
    let mut rows = vec![["", "at", "lasts", "opens", "closes", "centreline"].map(str::to_owned).to_vec()];
    for one in &answer.duties {
        for (level, events) in &one.events {
            let [opens, closes] = lift_words::events(events, one.duty);
            rows.push(vec![
                duty_word(one.duty).to_owned(),
                level.words().to_owned(),
                lift_words::degrees(events.duration()),
                opens,
                closes,
                lift_words::degrees(events.centreline(one.duty)),
            ]);
        }
    }
    let mut out = format!("{}{}", heading("Events"), table(&rows, &[2, 5]));
    if let Some(together) = &answer.together {
        let overlaps: Vec<String> = together
            .overlap
            .iter()
            .map(|(level, angle)| format!("{} at {}", lift_words::degrees(*angle), level.words()))
            .collect();
        out.push_str(&wrapped(&format!("  overlap {}", overlaps.join(", ")), 4));
    }
    out
}

fn lobe_text(answer: &LiftAnswer, system: UnitSystem) -> String {
    let springs = |one: &DutyLift| one.springs.as_ref().and_then(|springs| springs.clone().ok());
    let contact = |idx: usize| {
        move |one: &DutyLift| {
            let peak = springs(one)?.contact?[idx];
            Some(lift_words::stress(peak.pressure, system))
        }
    };
    let at_revs = |one: &DutyLift| answer.revs.and_then(|_| contact(1)(one));
    let table = columns(
        answer,
        &[
            ("greatest lift gained in a cam degree", &|one| {
                one.flat.map(|flat| lift_words::per_degree(flat.per_cam_degree, system))
            }),
            ("the flat tappet allows", &|one| {
                one.flat.map(|flat| lift_words::per_degree(flat.limit, system))
            }),
            ("contact to the tappet's edge", &|one| one.flat.map(|flat| show(flat.edge_margin, system))),
            ("pressure angle", &|one| {
                let surface = one.surface.filter(|_| one.flat.is_none())?;
                Some(format!("{:.1}°", surface.pressure_angle.get::<degree>()))
            }),
            ("least radius of the lobe", &|one| {
                one.surface.map(|surface| show(surface.least_convex, system))
            }),
            ("hollow flank, radius", &|one| Some(show(one.surface?.least_hollow?, system))),
            ("contact pressure, turned by hand", &contact(0)),
            ("contact pressure, at the highest speed", &at_revs),
        ],
    );
    if table.is_empty() { table } else { format!("{}{table}", heading("Lobe and follower")) }
}

fn springs_text(answer: &LiftAnswer, system: UnitSystem) -> String {
    let with = |of: fn(&SpringsAnswer, UnitSystem) -> Option<String>| {
        move |one: &DutyLift| match &one.springs {
            Some(Ok(springs)) => of(springs, system),
            _ => None,
        }
    };
    let table = columns(
        answer,
        &[
            ("load on the seat", &with(|springs, system| Some(show(springs.seat, system)))),
            ("load at full lift", &with(|springs, system| Some(show(springs.nose, system)))),
            ("left to coil bind", &with(|springs, system| springs.bind.map(|bind| show(bind, system)))),
            ("retainer to seal", &with(|springs, system| springs.seal.map(|seal| show(seal, system)))),
            ("mass at the valve", &with(|springs, system| Some(show(springs.mass, system)))),
            (
                "train comes apart at",
                &with(|springs, _| springs.lift_off.map(|(speed, _)| lift_words::rpm(speed))),
            ),
        ],
    );
    if table.is_empty() {
        return table;
    }
    format!("{}{table}{}{}", heading("Springs"), margins_text(answer, system), surges_text(answer))
}

/// Force left in the train over the speeds of the duty that has most of them.
fn margins_text(answer: &LiftAnswer, system: UnitSystem) -> String {
    let margins: Vec<(&str, &SpringsAnswer)> = answer
        .duties
        .iter()
        .filter_map(|one| Some((duty_word(one.duty), one.springs.as_ref()?.as_ref().ok()?)))
        .collect();
    let Some(longest) = margins.iter().map(|(_, springs)| &springs.margins).max_by_key(|list| list.len())
    else {
        return String::new();
    };
    let mut rows = vec![vec!["least force left in the train".to_owned()]];
    rows[0].extend(margins.iter().map(|(word, _)| (*word).to_owned()));
    for (speed, _) in longest {
        let mut row = vec![lift_words::rpm(*speed)];
        row.extend(margins.iter().map(|(_, springs)| {
            let here = springs.margins.iter().find(|(known, _)| known == speed);
            here.map_or(String::new(), |(_, force)| match force.value {
                newtons if newtons < 0.0 => "apart".to_owned(),
                _ => show(*force, system),
            })
        }));
        rows.push(row);
    }
    format!("\n{}", table(&rows, &[1, 2]))
}

fn surges_text(answer: &LiftAnswer) -> String {
    let mut lines = String::new();
    for one in &answer.duties {
        let Some(Ok(springs)) = &one.springs else { continue };
        for surge in &springs.surges {
            let which = if surge.inner { "inner spring" } else { "spring" };
            let resonance = lift_words::rpm(surge.surge.resonance);
            let text = format!(
                "  {} {which} surges at {:.0} Hz, {:.1} times the cam's speed at {} ({LEAST_SURGE_ORDER:.0} and more is \
                 usual); harmonic {} of the lift, {:.2} % of it, meets that at {resonance}",
                duty_word(one.duty),
                surge.frequency.get::<revolution_per_second>(),
                surge.surge.order,
                lift_words::rpm(surge.at),
                surge.surge.harmonic,
                100.0 * surge.surge.share,
            );
            lines.push_str(&wrapped(&text, 4));
        }
    }
    if lines.is_empty() { lines } else { format!("\n{lines}") }
}
