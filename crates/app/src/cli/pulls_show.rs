//! `headroom pulls show`: what a stored pull holds.

use std::path::PathBuf;

use anyhow::{Result, anyhow};
use clap::Args;
use headroom::pulls_wire::CorrectedWire;
use headroom::pulls_words;
use pulls::column_kind::ColumnKind;
use pulls::curve::common_speeds;
use pulls::pull::power_kw;
use pulls::{Barometer, Humidity, Measure, Pull, write_pull};
use units::{UnitSystem, show, show_decimals};

use super::output::{heading, print, print_json, table, wrapped};
use super::pulls::{ProcessingArgs, processing_words, stored, write};
use super::{Common, Format};
use crate::exit::Exit;

/// Which pulls, and with which settings.
#[derive(Args, Debug)]
pub struct ShowArgs {
    /// Stored pulls (*.pull.toml)
    #[arg(required = true)]
    files: Vec<PathBuf>,
    #[command(flatten)]
    processing: ProcessingArgs,
    /// Keep the settings given here in the stored pulls
    #[arg(long)]
    keep: bool,
    /// Step of the table, rpm
    #[arg(long, value_name = "RPM", default_value_t = 250.0, value_parser = super::pulls_compare::positive)]
    step: f64,
    #[command(flatten)]
    common: Common,
}

/// Answers it.
pub fn run(args: &ShowArgs) -> Result<Exit> {
    let system = args.common.system();
    let mut wires = Vec::new();
    let mut out = String::new();
    for path in &args.files {
        let mut pull = stored(path)?;
        pull.processing = args.processing.over(pull.processing)?;
        let curve = pull.curve().map_err(|wrong| anyhow!("{}: {wrong}", path.display()))?;
        if args.keep && args.processing.is_given() {
            write(path, write_pull(&pull).as_bytes())?;
        }
        match args.common.format {
            Format::Json => wires.push(CorrectedWire::new(&pull, &[], &curve, system)),
            Format::Text => out.push_str(&text(&pull, &curve, args, system)),
        }
    }
    match args.common.format {
        Format::Json => print_json(&wires)?,
        Format::Text => print(&out),
    }
    Ok(Exit::Clear)
}

fn text(pull: &Pull, curve: &pulls::Curve, args: &ShowArgs, system: UnitSystem) -> String {
    let peak = |measure| {
        curve.peak(measure).map_or(String::new(), |(value, rpm)| {
            format!("{} at {} rpm", pulls_words::amount(value, measure, system), pulls_words::thousands(rpm))
        })
    };
    let place = if pull.at_wheels { "at the wheels" } else { "as measured" };
    let verdict = format!(
        "{}: greatest torque {}, greatest power {}, {place}, not corrected for weather; {}.",
        pull.name,
        peak(Measure::Torque),
        peak(Measure::Power),
        processing_words(pull)
    );
    let mut out = wrapped(&verdict, 0);
    if args.common.quiet {
        return out;
    }
    out.push_str(&facts(pull, system));
    let (low, high) = pull.rows.span_rpm();
    let first = (low / args.step).ceil() * args.step;
    if first < high {
        out.push_str(&heading("Torque and power"));
        let mut rows = vec![["rpm", "torque", "power"].map(str::to_owned).to_vec()];
        for rpm in common_speeds(first, (high / args.step).floor() * args.step, args.step) {
            let Some(torque) = curve.at(rpm, args.step) else { continue };
            let power = pulls_words::power(power_kw(torque, rpm), system);
            rows.push(vec![pulls_words::thousands(rpm), pulls_words::torque(torque, system), power]);
        }
        out.push_str(&table(&rows, &[0, 1, 2]));
    }
    out.push('\n');
    out
}

fn facts(pull: &Pull, system: UnitSystem) -> String {
    let mut rows: Vec<[String; 2]> = Vec::new();
    let mut row = |name: &str, value: Option<String>| {
        if let Some(value) = value {
            rows.push([name.to_owned(), value]);
        }
    };
    row("part of the test", pull.group.map(|group| group.key().to_owned()));
    row("when", pull.when.map(|when| when.to_string()));
    row("measured by", pull.instrument.clone());
    row("engine", Some(pull.engine.words().to_owned()));
    row("speed", Some(format!("{}, {} readings", pull.sweep.key(), pull.rows.len())));
    row(
        "barometer",
        pull.weather.barometer.map(|barometer| match barometer {
            Barometer::Station(pressure) => {
                format!("{} in the cell", show_decimals(pressure.pressure(), system, 2))
            }
            Barometer::SeaLevel(pressure, elevation) => format!(
                "{} at sea level, so {} at {}",
                show_decimals(pressure.reported(), system, 2),
                show_decimals(barometer.station().pressure(), system, 2),
                show_decimals(elevation, system, 0)
            ),
        }),
    );
    row("inlet air", pull.weather.inlet.map(|t| show(t, system)));
    row("air of the cell", pull.weather.dry_bulb.map(|t| show(t, system)));
    row(
        "humidity",
        pull.weather.humidity.map(|humidity| match humidity {
            Humidity::Relative(share) => format!("{:.0} %", 100.0 * share.value),
            Humidity::DewPoint(t) => format!("dew point {}", show(t, system)),
            Humidity::WetBulb(t) => format!("wet bulb {}", show(t, system)),
        }),
    );
    for (name, kind) in [("coolant", ColumnKind::Coolant), ("oil", ColumnKind::Oil)] {
        row(name, pull.rows.mean_temperature(kind).map(|t| show(t, system)));
    }
    let (from, to) = pull.origin.lines;
    row("from", Some(format!("{}, lines {from} to {to}, digest {}", pull.origin.file, pull.origin.digest)));
    let cells: Vec<Vec<String>> = rows.into_iter().map(|row| row.to_vec()).collect();
    let mut out = format!("\n{}", table(&cells, &[]));
    for assumed in &pull.assumed {
        out.push_str(&wrapped(&format!("  assumed: {assumed}"), 4));
    }
    for remark in &pull.remarks {
        out.push_str(&wrapped(&format!("  {remark}"), 4));
    }
    out
}
