//! `headroom pulls correct`: a pull as the standards would have it, and figures taken from one standard to another.

use std::path::PathBuf;

use anyhow::{Result, anyhow};
use clap::Args;
use headroom::pulls_wire::CorrectedWire;
use headroom::pulls_words;
use pulls::curve::common_speeds;
use pulls::pull::power_kw;
use pulls::{Correction, Curve, Measure, Pull, Standard, convert, correction};
use units::UnitSystem;
use units::pressure::kilopascal;

use super::output::{heading, print, print_json, table, wrapped};
use super::pulls::{ProcessingArgs, all_stored, processing_words};
use super::{Common, Format};
use crate::exit::Exit;

/// Which pulls, and to what.
#[derive(Args, Debug)]
pub struct CorrectArgs {
    /// Stored pulls (*.pull.toml)
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// The standard: sae, std, iso, din, jis or eec (all of them otherwise)
    #[arg(long, value_name = "STANDARD", value_parser = standard)]
    to: Option<Standard>,
    /// A figure somebody gave for this pull, in any unit, to be taken to the other standards; needs --from
    #[arg(long, value_name = "NUMBER", requires = "from")]
    figure: Option<f64>,
    /// The standard that figure was corrected to
    #[arg(long, value_name = "STANDARD", value_parser = standard, requires = "figure")]
    from: Option<Standard>,
    /// Step of the table, rpm
    #[arg(long, value_name = "RPM", default_value_t = 250.0, value_parser = super::pulls_compare::positive)]
    step: f64,
    #[command(flatten)]
    processing: ProcessingArgs,
    #[command(flatten)]
    common: Common,
}

/// A standard as typed.
pub fn standard(text: &str) -> Result<Standard, String> {
    Standard::parse(text).ok_or_else(|| "expected sae, std, iso, din, jis or eec".to_owned())
}

/// Answers it.
pub fn run(args: &CorrectArgs) -> Result<Exit> {
    let system = args.common.system();
    let standards = args.to.map_or(Standard::ALL.to_vec(), |standard| vec![standard]);
    let mut wires = Vec::new();
    let mut out = String::new();
    let mut inside = true;
    for pull in all_stored(&args.files, &args.processing)? {
        let weather = pull.weather.complete().map_err(|missing| anyhow!("{}: {missing}", pull.name))?;
        let of = |standard| {
            correction(standard, pull.engine, &weather).map_err(|wrong| anyhow!("{}: {wrong}", pull.name))
        };
        let corrections: Vec<Correction> =
            standards.iter().map(|standard| of(*standard)).collect::<Result<_>>()?;
        inside &= corrections.iter().all(Correction::inside_window);
        let curve = pull.curve().map_err(|wrong| anyhow!("{}: {wrong}", pull.name))?;
        match args.common.format {
            Format::Json => wires.push(CorrectedWire::new(&pull, &corrections, &curve, system)),
            Format::Text => {
                out.push_str(&text(&pull, &curve, &corrections, args, system));
                if let (Some(figure), Some(from)) = (args.figure, args.from) {
                    out.push_str(&converted(figure, &of(from)?, &corrections));
                }
            }
        }
    }
    match args.common.format {
        Format::Json => print_json(&wires)?,
        Format::Text => print(&out),
    }
    Ok(if inside { Exit::Clear } else { Exit::NotClear })
}

fn text(
    pull: &Pull,
    curve: &Curve,
    corrections: &[Correction],
    args: &CorrectArgs,
    system: UnitSystem,
) -> String {
    let peak = |factor: f64, measure| {
        curve
            .peak(measure)
            .map_or(String::new(), |(value, _)| pulls_words::amount(factor * value, measure, system))
    };
    let weather = pull.weather.complete().map(|weather| weather.dry_pressure().get::<kilopascal>());
    let mut out = wrapped(
        &format!(
            "{}: measured {} and {} at the peaks; dry pressure {:.2} kPa; {}; {}.",
            pull.name,
            peak(1.0, Measure::Torque),
            peak(1.0, Measure::Power),
            weather.unwrap_or(f64::NAN),
            pull.engine.words(),
            processing_words(pull)
        ),
        0,
    );
    let mut rows = vec![["standard", "factor", "torque", "power", ""].map(str::to_owned).to_vec()];
    for one in corrections {
        let window = if one.inside_window() { "" } else { "OUTSIDE its window" };
        let factor = format!("{:.4}", one.factor);
        let torque = peak(one.factor, Measure::Torque);
        let power = peak(one.factor, Measure::Power);
        rows.push(vec![one.standard.name().to_owned(), factor, torque, power, window.to_owned()]);
    }
    out.push_str(&table(&rows, &[1, 2, 3]));
    if args.common.quiet {
        return out;
    }
    for one in corrections.iter().filter(|one| !one.marks.is_empty()) {
        out.push_str(&wrapped(&format!("  {}: {}", one.standard.name(), pulls_words::marks(one, system)), 4));
    }
    for assumed in &pull.assumed {
        out.push_str(&wrapped(&format!("  assumed: {assumed}"), 4));
    }
    for one in corrections {
        out.push_str(&wrapped(&format!("  source: {}", one.standard.source()), 4));
    }
    if let [one] = corrections {
        out.push_str(&curve_text(pull, curve, one, args.step, system));
    }
    out.push('\n');
    out
}

fn curve_text(pull: &Pull, curve: &Curve, one: &Correction, step: f64, system: UnitSystem) -> String {
    let (low, high) = pull.rows.span_rpm();
    let first = (low / step).ceil() * step;
    if first >= high {
        return String::new();
    }
    let mut rows = vec![["rpm", "measured", "corrected", "power"].map(str::to_owned).to_vec()];
    for rpm in common_speeds(first, (high / step).floor() * step, step) {
        let Some(torque) = curve.at(rpm, step) else { continue };
        let corrected = one.apply(torque);
        rows.push(vec![
            pulls_words::thousands(rpm),
            pulls_words::torque(torque, system),
            pulls_words::torque(corrected, system),
            pulls_words::power(power_kw(corrected, rpm), system),
        ]);
    }
    format!("{}{}", heading(one.standard.name()), table(&rows, &[0, 1, 2, 3]))
}

/// A figure of one standard in the others, through the measured one.
fn converted(figure: f64, from: &Correction, corrections: &[Correction]) -> String {
    let mut out =
        format!("  {figure} in {} was {:.2} as measured\n", from.standard.name(), from.undo(figure));
    for to in corrections.iter().filter(|to| to.standard != from.standard) {
        out.push_str(&format!("  and is {:.2} in {}\n", convert(figure, from, to), to.standard.name()));
    }
    out
}
