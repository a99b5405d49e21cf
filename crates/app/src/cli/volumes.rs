//! `headroom volumes`: every cc, the compression they make, and what a swap does to it.

use std::path::PathBuf;

use anyhow::Result;
use clap::Args;
use headroom::volumes::{CylinderVolumes, VolumesAnswer};
use headroom::volumes_change::{Amount, CompressionChange, CylinderChange, compression_change};
use headroom::volumes_effective::{EffectiveCompression, effective_compressions};
use headroom::volumes_wire::VolumesWire;
use headroom::{volumes, volumes_words, words};
use units::{CrankAngle, Length, Quantity, Reading, UnitSystem, Volume, show};

use super::output::{heading, print, print_json, table, wrapped};
use super::{Common, Format, sheets};
use crate::exit::Exit;

/// Which build.
#[derive(Args, Debug)]
pub struct VolumesArgs {
    /// The build sheet (*.build.toml)
    build: PathBuf,
    /// A swap sheet (*.swap.toml) or second build sheet: what it does to compression
    #[arg(long, value_name = "SHEET")]
    candidate: Option<PathBuf>,
    /// When the intake valve closes, after bottom dead centre ("62 deg"): adds effective compression and cranking
    /// pressure
    #[arg(long, value_name = "ANGLE", value_parser = units::parse::<CrankAngle>)]
    intake_closes: Option<CrankAngle>,
    #[command(flatten)]
    common: Common,
}

/// Answers it.
pub fn run(args: &VolumesArgs) -> Result<Exit> {
    let sheet = sheets::build(&args.build)?;
    let candidate = args.candidate.as_deref().map(|path| sheets::candidate(&args.build, path)).transpose()?;
    let change = candidate.as_ref().map(|candidate| compression_change(&sheet.build, candidate));
    let build = candidate.as_ref().map_or(&sheet.build, |candidate| &candidate.build);
    let notes = candidate.as_ref().map_or(&sheet.notes, |candidate| &candidate.notes);
    let answer = volumes::volumes(build);
    let mut verdict = change.as_ref().map_or_else(Vec::new, volumes_words::change_verdict);
    verdict.extend(volumes_words::verdict(&answer).into_iter().skip(usize::from(change.is_some())));
    let effective = match args.intake_closes {
        Some(closes) => effective_compressions(build, closes)?,
        None => Vec::new(),
    };
    let system = args.common.system();
    match args.common.format {
        Format::Json => print_json(&VolumesWire::new(&answer, change.as_ref(), &effective, verdict))?,
        Format::Text if args.common.quiet => print(&wrapped(verdict.first().map_or("", String::as_str), 0)),
        Format::Text => {
            let base = change.as_ref().map(|_| volumes::volumes(&sheet.build));
            let mut out = format!("{}\n\n{}", build.name, wrapped(&verdict.join(" "), 0));
            if let Some(change) = &change {
                out.push_str(&change_text(change, system));
            }
            out.push_str(&volumes_text(&answer, base.as_ref(), system));
            out.push_str(&effective_text(&effective, build.cylinders.len()));
            out.push_str(&doubt_text(&answer, change.is_some(), system));
            out.push_str(&super::check::notes_text(notes));
            out.push_str(&format!("\n{}", wrapped(volumes_words::CAUTION, 0)));
            print(&out);
        }
    }
    Ok(Exit::Clear)
}

/// Which change brought how much, for each group of cylinders alike.
fn change_text(change: &CompressionChange, system: UnitSystem) -> String {
    let mut out = String::new();
    for group in &change.groups {
        let made = group.shares.iter().filter(|share| share.share.value.si() != 0.0);
        let mut rows = vec![["", "base", "candidate", "compression"].map(str::to_owned).to_vec()];
        rows.extend(made.map(|share| {
            let amounts = [share.before, share.after].map(|amount| amount_text(amount, system));
            let [before, after] = amounts;
            vec![share.change.words().to_owned(), before, after, volumes_words::gain(&share.share)]
        }));
        if rows.len() > 1 {
            rows.push(together(group));
            out.push_str(&heading(&titled("What each change brings", &group.cylinders, change.groups.len())));
            out.push_str(&table(&rows, &[1, 2]));
        }
    }
    out
}

fn together(group: &CylinderChange) -> Vec<String> {
    let ratios = [&group.base, &group.candidate].map(volumes_words::ratio);
    let [base, candidate] = ratios;
    vec!["together".to_owned(), base, candidate, volumes_words::gain(&group.difference)]
}

/// A change's amount for people.
pub fn amount_text(amount: Amount, system: UnitSystem) -> String {
    match amount {
        Amount::Length(length) => volumes_words::plain(length, system),
        Amount::Volume(volume) => volumes_words::plain(volume, system),
    }
}

/// A title that names its cylinders where there are several groups.
fn titled(title: &str, cylinders: &[usize], n_groups: usize) -> String {
    if n_groups > 1 { format!("{title}, {}", words::cylinders(cylinders, 0)) } else { title.to_owned() }
}

/// The volumes of each group of cylinders alike, beside those of the base where there is one.
fn volumes_text(answer: &VolumesAnswer, base: Option<&VolumesAnswer>, system: UnitSystem) -> String {
    let mut out = String::new();
    for group in &answer.groups {
        let of_base = base
            .and_then(|base| base.groups.iter().find(|other| other.cylinders.contains(&group.cylinders[0])));
        out.push_str(&heading(&titled("Volumes at top dead centre", &group.cylinders, answer.groups.len())));
        out.push_str(&group_table(group, of_base, system));
    }
    let total = [system, other(system)].map(|system| show(answer.displacement, system));
    out.push_str(&format!("  all cylinders together sweep {} ({})\n", total[0], total[1]));
    out
}

fn group_table(group: &CylinderVolumes, base: Option<&CylinderVolumes>, system: UnitSystem) -> String {
    let also = match other(system) {
        UnitSystem::Metric => "cc, mm",
        UnitSystem::Inch => "in3, in",
    };
    let head: &[&str] = match base {
        Some(_) => &["", "base", "candidate", also, "basis"],
        None => &["", "", also, "basis"],
    };
    let mut rows = vec![head.iter().map(|word| (*word).to_owned()).collect()];
    let volume = |figure: &Reading<Volume>| volumes_words::volume(figure, system);
    for (idx, part) in group.parts.iter().enumerate() {
        let of_base = base.map(|base| &base.parts[idx]);
        if part.is_told() || of_base.is_some_and(|of_base| of_base.is_told()) {
            let of_base = of_base.map(|of_base| &of_base.volume);
            rows.push(row(part.part.word(), &part.volume, of_base, volume, other(system)));
        }
    }
    let length = |figure: &Reading<Length>| volumes_words::length(figure, system);
    rows.push(row("clearance", &group.clearance, base.map(|base| &base.clearance), volume, other(system)));
    rows.push(row("swept", &group.swept, base.map(|base| &base.swept), volume, other(system)));
    rows.push(row("quench", &group.quench, base.map(|base| &base.quench), length, other(system)));
    table(&rows, if base.is_some() { &[1, 2, 3] } else { &[1, 2] })
}

/// A figure with its tolerance, and bare in the other family of units.
fn row<Q: Quantity>(
    what: &str,
    figure: &Reading<Q>,
    base: Option<&Reading<Q>>,
    shown: impl Fn(&Reading<Q>) -> String,
    also: UnitSystem,
) -> Vec<String> {
    let mut cells = vec![what.to_owned()];
    cells.extend(base.map(&shown));
    cells.extend([shown(figure), volumes_words::plain(figure.value, also), figure.basis.word().to_owned()]);
    cells
}

fn other(system: UnitSystem) -> UnitSystem {
    match system {
        UnitSystem::Metric => UnitSystem::Inch,
        UnitSystem::Inch => UnitSystem::Metric,
    }
}

fn effective_text(effective: &[EffectiveCompression], n_cylinders: usize) -> String {
    if effective.is_empty() {
        return String::new();
    }
    let mut rows = vec![["", "effective compression", "a gauge might show"].map(str::to_owned).to_vec()];
    rows.extend(effective.iter().map(|group| {
        let on = words::cylinders(&group.cylinders, n_cylinders);
        vec![on, format!("{:.1}", group.compression), volumes_words::gauge(group.cranking)]
    }));
    let caution = wrapped(&format!("  {}", volumes_words::CRANKING_CAUTION), 2);
    format!("{}{}{caution}", heading("When the intake valve has closed"), table(&rows, &[1, 2]))
}

/// The readings that make compression uncertain, and those nobody gave, for the group where they matter most.
fn doubt_text(answer: &VolumesAnswer, of_candidate: bool, system: UnitSystem) -> String {
    /// Readings that make less of the variance than this are not worth a line.
    const LEAST_SHARE: f64 = 0.01;
    let least_sure = answer
        .groups
        .iter()
        .max_by(|a, b| a.compression.tolerance.si().total_cmp(&b.compression.tolerance.si()));
    let Some(group) = least_sure.filter(|group| !group.effects.is_empty()) else { return String::new() };
    let share = |idx: usize| volumes_words::share_of_variance(&group.effects[idx], &group.effects);
    let mut rows = Vec::new();
    for (idx, effect) in group.effects.iter().enumerate().filter(|(idx, _)| share(*idx) >= LEAST_SHARE) {
        rows.push(vec![
            effect.path.clone(),
            effect.shown(system),
            effect.basis.word().to_owned(),
            format!("moves it by {}", small(effect.effect)),
            format!("{:.0} % of the doubt", 100.0 * share(idx)),
        ]);
    }
    let of = if of_candidate { "the candidate's compression" } else { "compression" };
    let title = format!("What makes {of} uncertain");
    let mut out = heading(&titled(&title, &group.cylinders, answer.groups.len()));
    out.push_str(&table(&rows, &[1]));
    let assumed: Vec<Vec<String>> = group
        .assumed()
        .map(|effect| effect.as_assumed())
        .map(|assumed| vec![assumed.path.clone(), assumed.shown(system), assumed.rule.to_owned()])
        .collect();
    if !assumed.is_empty() {
        out.push_str(&heading("Assumed, because nobody gave it"));
        out.push_str(&table(&assumed, &[]));
    }
    out
}

/// A small amount of compression with two digits.
pub fn small(effect: f64) -> String {
    let size = effect.abs();
    let decimals = if size > 0.0 { (1.0 - size.log10().floor()).clamp(0.0, 6.0) as usize } else { 1 };
    format!("{size:.decimals$}")
}
