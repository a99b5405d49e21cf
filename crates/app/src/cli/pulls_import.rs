//! `headroom pulls import`: a brake's files in, stored pulls out, with what each column was taken for.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Result, anyhow, bail};
use clap::{Args, ValueEnum};
use headroom::pulls_wire::ImportWire;
use headroom::pulls_words;
use pulls::columns_take::{ColumnInstruction, parse_instructions};
use pulls::layout_file::{read_layouts, remember, write_layouts};
use pulls::{
    Barometer, Decimal, DieselFuel, EngineKind, Group, Humidity, Import, ImportOptions, Layout, Processing,
    SeaLevelPressure, Standard, StationPressure, WeatherReadings, When, import, write_pull,
};
use units::{Length, Pressure, Ratio, ThermodynamicTemperature, parse};

use super::output::{print, print_json, table, wrapped};
use super::pulls::{ProcessingArgs, bytes, write};
use super::{Common, Format};
use crate::exit::Exit;

/// Name of the file that remembers layouts, where none is given.
const LAYOUTS: &str = "pull-layouts.toml";

/// What to read, and what the files do not say.
#[derive(Args, Debug)]
pub struct ImportArgs {
    /// The brake's files
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Write: what the columns are taken for is right. Not needed for a layout confirmed before
    #[arg(long, short)]
    yes: bool,
    /// Folder for the stored pulls (beside the files otherwise)
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Write over stored pulls of the same name
    #[arg(long)]
    replace: bool,
    /// The file that remembers layouts (pull-layouts.toml beside the first file otherwise)
    #[arg(long, value_name = "FILE")]
    layouts: Option<PathBuf>,
    /// The sheet of a workbook
    #[arg(long, value_name = "NAME")]
    sheet: Option<String>,
    /// What columns are: "Torque=torque lb-ft, 3=ignored"
    #[arg(long, value_name = "COLUMNS")]
    columns: Option<String>,
    /// How decimals are written
    #[arg(long, value_enum)]
    decimal: Option<DecimalSign>,
    /// Part of the test: A, B or A2
    #[arg(long, value_name = "GROUP")]
    group: Option<String>,
    /// Date and time ("2025-05-03 10:42")
    #[arg(long, value_name = "TIME")]
    when: Option<String>,
    /// What measured it
    #[arg(long, value_name = "WORDS")]
    instrument: Option<String>,
    /// The torque is that at the wheels
    #[arg(long)]
    at_wheels: bool,
    /// Ignition and charging
    #[arg(long, value_enum, default_value = "spark")]
    engine: Engine,
    /// Fuel of a diesel, mg a litre and cycle
    #[arg(long, value_name = "MG")]
    fuel: Option<f64>,
    /// Pressure ratio of a diesel's compressor
    #[arg(long, value_name = "RATIO", default_value_t = 1.0)]
    pressure_ratio: f64,
    /// The barometer in the cell ("98.2 kPa")
    #[arg(long, value_name = "PRESSURE", value_parser = parse::<Pressure>, conflicts_with = "sea_level")]
    baro: Option<Pressure>,
    /// A pressure reduced to sea level, as weather services report it; needs --elevation
    #[arg(long, value_name = "PRESSURE", value_parser = parse::<Pressure>, requires = "elevation")]
    sea_level: Option<Pressure>,
    /// Elevation of the brake ("430 m")
    #[arg(long, value_name = "HEIGHT", value_parser = parse::<Length>)]
    elevation: Option<Length>,
    /// Air at the engine's inlet ("24 degC")
    #[arg(long, value_name = "TEMPERATURE", value_parser = parse::<ThermodynamicTemperature>)]
    air_temp: Option<ThermodynamicTemperature>,
    /// Air where the humidity was read, if that was elsewhere
    #[arg(long, value_name = "TEMPERATURE", value_parser = parse::<ThermodynamicTemperature>)]
    dry_bulb: Option<ThermodynamicTemperature>,
    /// Relative humidity ("45 %")
    #[arg(long, value_name = "SHARE", value_parser = parse::<Ratio>, group = "moisture")]
    humidity: Option<Ratio>,
    /// Dew point
    #[arg(long, value_name = "TEMPERATURE", value_parser = parse::<ThermodynamicTemperature>, group = "moisture")]
    dew_point: Option<ThermodynamicTemperature>,
    /// Wet-bulb thermometer
    #[arg(long, value_name = "TEMPERATURE", value_parser = parse::<ThermodynamicTemperature>, group = "moisture")]
    wet_bulb: Option<ThermodynamicTemperature>,
    /// What figures that are corrected already were corrected to, where the file does not give the factor: it is worked out
    /// from the weather and undone
    #[arg(long, value_name = "STANDARD", value_parser = super::pulls_correct::standard)]
    corrected: Option<Standard>,
    #[command(flatten)]
    processing: ProcessingArgs,
    #[command(flatten)]
    common: Common,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum DecimalSign {
    /// 210.5
    Point,
    /// 210,5
    Comma,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Engine {
    /// Spark ignition, naturally aspirated
    Spark,
    /// Spark ignition, boosted
    SparkBoosted,
    /// Diesel, naturally aspirated
    Diesel,
    /// Diesel, turbocharged
    DieselTurbo,
}

/// Answers it.
pub fn run(args: &ImportArgs) -> Result<Exit> {
    let layouts_path = layouts_path(args);
    let mut layouts = known_layouts(&layouts_path)?;
    let told = args.columns.as_deref().map_or(Ok(Vec::new()), parse_instructions)?;
    let mut imports = Vec::new();
    for path in &args.files {
        let options = options(args, path, &told, &layouts)?;
        let bytes = bytes(path)?;
        let got = import(&bytes, &options).map_err(|wrong| anyhow!("{}: {wrong}", path.display()))?;
        imports.push((path, bytes, got));
    }
    let confirmed = args.yes || imports.iter().all(|(_, _, import)| import.remembered);
    let mut written = vec![Vec::new(); imports.len()];
    if confirmed {
        refuse_overwriting(args, imports.iter().map(|(path, _, import)| (path.as_path(), import)))?;
        for ((path, bytes, import), written) in imports.iter().zip(&mut written) {
            *written = store(args, path, bytes, import)?;
            if !import.remembered {
                remember(&mut layouts, import.layout.clone());
            }
        }
        if imports.iter().any(|(_, _, import)| !import.remembered) {
            write(&layouts_path, write_layouts(&layouts).as_bytes())?;
        }
    }
    match args.common.format {
        Format::Json => {
            let wires = imports.iter().zip(&written);
            let wires: Vec<ImportWire> = wires
                .map(|((path, _, import), written)| {
                    ImportWire::new(&file_name(path), import, written.clone())
                })
                .collect();
            print_json(&wires)?;
        }
        Format::Text => print(&text(args, &imports, &written, confirmed)),
    }
    Ok(Exit::Clear)
}

fn layouts_path(args: &ImportArgs) -> PathBuf {
    let beside =
        || args.files.first().map_or_else(|| PathBuf::from(LAYOUTS), |file| file.with_file_name(LAYOUTS));
    args.layouts.clone().unwrap_or_else(beside)
}

fn known_layouts(path: &Path) -> Result<Vec<Layout>> {
    if !path.exists() {
        return Ok(Vec::new());
    }
    let text = String::from_utf8(bytes(path)?)
        .map_err(|_| anyhow!("{}: found bytes that are no text", path.display()))?;
    read_layouts(&text).map_err(|wrong| anyhow!("{}: {wrong}", path.display()))
}

fn file_name(path: &Path) -> String {
    path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

fn options(
    args: &ImportArgs,
    path: &Path,
    told: &[ColumnInstruction],
    layouts: &[Layout],
) -> Result<ImportOptions> {
    let group = args.group.as_deref().map(|text| {
        Group::parse(text).ok_or_else(|| anyhow!("--group: found `{text}`, expected A, B or A2"))
    });
    let when = args.when.as_deref().map(|text| {
        When::parse(text)
            .ok_or_else(|| anyhow!("--when: found `{text}`, expected a time such as \"2025-05-03 10:42\""))
    });
    let fuel = || match args.fuel {
        Some(mg_per_litre_cycle) if mg_per_litre_cycle > 0.0 && args.pressure_ratio >= 1.0 => {
            Ok(DieselFuel { mg_per_litre_cycle, pressure_ratio: args.pressure_ratio })
        }
        _ => bail!(
            "a diesel's correction needs --fuel, mg a litre and cycle above 0, and a --pressure-ratio of at least 1"
        ),
    };
    let engine = match args.engine {
        Engine::Spark => EngineKind::Spark,
        Engine::SparkBoosted => EngineKind::SparkBoosted,
        Engine::Diesel => EngineKind::Diesel(fuel()?),
        Engine::DieselTurbo => EngineKind::DieselTurbo(fuel()?),
    };
    let sea = args.sea_level.zip(args.elevation);
    let barometer = args
        .baro
        .map(|pressure| Barometer::Station(StationPressure::new(pressure)))
        .or(sea.map(|(pressure, elevation)| Barometer::SeaLevel(SeaLevelPressure::new(pressure), elevation)));
    let humidity = args
        .humidity
        .map(Humidity::Relative)
        .or(args.dew_point.map(Humidity::DewPoint))
        .or(args.wet_bulb.map(Humidity::WetBulb));
    Ok(ImportOptions {
        file: file_name(path),
        sheet: args.sheet.clone(),
        columns: told.to_vec(),
        decimal: args.decimal.map(|sign| match sign {
            DecimalSign::Point => Decimal::Point,
            DecimalSign::Comma => Decimal::Comma,
        }),
        remembered: layouts.to_vec(),
        group: group.transpose()?,
        when: when.transpose()?,
        instrument: args.instrument.clone(),
        at_wheels: args.at_wheels,
        engine,
        weather: WeatherReadings { barometer, inlet: args.air_temp, dry_bulb: args.dry_bulb, humidity },
        corrected_to: args.corrected,
        processing: args.processing.over(Processing::default())?,
    })
}

fn folder(args: &ImportArgs, path: &Path) -> PathBuf {
    args.out.clone().unwrap_or_else(|| path.parent().map_or_else(PathBuf::new, Path::to_owned))
}

/// Refuses before anything is written: a stored pull that is there, and two pulls of one name.
fn refuse_overwriting<'a>(
    args: &ImportArgs,
    imports: impl Iterator<Item = (&'a Path, &'a Import)>,
) -> Result<()> {
    let mut targets: Vec<PathBuf> = Vec::new();
    for (path, import) in imports {
        for pull in &import.pulls {
            let target = folder(args, path).join(format!("{}.pull.toml", pull.name));
            if targets.contains(&target) {
                bail!(
                    "{}: two pulls would get this name; import them into folders of their own",
                    target.display()
                );
            }
            if !args.replace
                && target.exists()
                && fs::read(&target).ok().as_deref() != Some(write_pull(pull).as_bytes())
            {
                bail!("{}: is there already and differs; say --replace to write over it", target.display());
            }
            targets.push(target);
        }
    }
    Ok(())
}

/// Writes the pulls, and the file they came from beside them; returns their paths.
fn store(args: &ImportArgs, path: &Path, bytes: &[u8], import: &Import) -> Result<Vec<String>> {
    let folder = folder(args, path);
    if !folder.as_os_str().is_empty() {
        fs::create_dir_all(&folder)
            .map_err(|wrong| anyhow!("{} cannot be made: {wrong}", folder.display()))?;
    }
    let mut written = Vec::new();
    for pull in &import.pulls {
        let target = folder.join(format!("{}.pull.toml", pull.name));
        write(&target, write_pull(pull).as_bytes())?;
        written.push(target.display().to_string());
    }
    let raw = folder.join(file_name(path));
    if !raw.exists() {
        write(&raw, bytes)?;
    } else if fs::read(&raw).ok().as_deref() != Some(bytes) {
        bail!(
            "{}: is there already and differs; the pulls are written, their raw file was left alone",
            raw.display()
        );
    }
    Ok(written)
}

fn text(
    args: &ImportArgs,
    imports: &[(&PathBuf, Vec<u8>, Import)],
    written: &[Vec<String>],
    confirmed: bool,
) -> String {
    let n_pulls: usize = imports.iter().map(|(_, _, import)| import.pulls.len()).sum();
    let pulls = if n_pulls == 1 { "1 pull".to_owned() } else { format!("{n_pulls} pulls") };
    let mut out = if confirmed {
        wrapped(&format!("{pulls} written."), 0)
    } else {
        wrapped(
            &format!(
                "{pulls} found, nothing written yet. Look over what each column was taken for; --yes writes, --columns puts a \
                 column right."
            ),
            0,
        )
    };
    if args.common.quiet {
        return out;
    }
    for (idx, ((path, _, import), written)) in imports.iter().zip(written).enumerate() {
        let known = if import.remembered { " (layout confirmed before)" } else { "" };
        out.push_str(&format!("\n{}{known}\n", path.display()));
        let before = imports[..idx].iter().find(|(_, _, other)| other.layout == import.layout);
        match before {
            Some((first, _, _)) => out.push_str(&format!("  columns as in {}\n", file_name(first))),
            None => out.push_str(&columns_text(&import.layout)),
        }
        for pull in &import.pulls {
            let (low, high) = pull.rows.span_rpm();
            let line = format!(
                "  {}: {}, {} readings, {}",
                pull.name,
                pull.sweep.key(),
                pull.rows.len(),
                pulls_words::band((low, high))
            );
            out.push_str(&wrapped(&line, 4));
        }
        for assumed in import.pulls.first().map_or(&[][..], |pull| &pull.assumed) {
            out.push_str(&wrapped(&format!("  assumed: {assumed}"), 4));
        }
        if let Some(Err(missing)) = import.pulls.first().map(|pull| pull.weather.complete()) {
            out.push_str(&wrapped(&format!("  cannot be corrected yet: {missing}"), 4));
        }
        for note in &import.notes {
            out.push_str(&wrapped(&format!("  {note}"), 4));
        }
        for path in written {
            out.push_str(&format!("  wrote {path}\n"));
        }
    }
    out
}

fn columns_text(layout: &Layout) -> String {
    let mut rows = vec![["column", "taken for", "in", "because"].map(str::to_owned).to_vec()];
    for column in &layout.columns {
        let unit = column.unit.map_or("", |unit| unit.symbol());
        rows.push(
            [column.name.as_str(), column.kind.key(), unit, column.why.words()].map(str::to_owned).to_vec(),
        );
    }
    table(&rows, &[])
}
