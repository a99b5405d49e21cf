//! One combination in one line: what it costs, why it is out, or what it gives. Also as CSV, there and back without loss.

use sheet::plan::{Adjusted, AdjustedKind};

use super::limit::BrokenSet;
use super::question::{Combination, Question};

/// What is known of one combination.
///
/// Numbers are rounded to what a row of the table shows, so that a table read back is the same to the last bit.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its number.
    pub index: u64,
    /// What it costs.
    pub price: u64,
    /// Depth of metal taken off, mm.
    pub metal_mm: f64,
    /// Least and greatest static compression of its cylinders; `None` where there is no engine.
    pub compression: Option<[f64; 2]>,
    /// What is left over the limit that is nearest to be broken, mm; negative under it.
    pub margin_mm: Option<f64>,
    /// Which limit that is.
    pub margin_of: String,
    /// The limits it breaks.
    pub broken: BrokenSet,
    /// What it gives; `None` where it was not run.
    pub gives: Option<Gives>,
}

/// What an engine gives over the band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gives {
    /// Mean torque from the band's beginning to the split, N m.
    pub torque_below_n_m: f64,
    /// Mean power from the split to the band's end, kW.
    pub power_above_kw: f64,
    /// Greatest torque at the speeds run, N m.
    pub peak_torque_n_m: f64,
    /// Greatest power at the speeds run, kW.
    pub peak_power_kw: f64,
    /// Largest knock integral of any cylinder at any speed; 1 is knock.
    pub knock: f64,
    /// How much later than for best torque knock makes the spark, at worst, deg.
    pub retard_deg: f64,
    /// Speeds that did not settle.
    pub n_unsettled: u32,
}

impl Row {
    /// Whether it keeps everything that is asked for.
    pub fn keeps_all(&self) -> bool {
        self.broken.is_empty() && self.gives.is_some()
    }
}

/// Decimals of lengths, ratios, torque, power and so on in a row.
const DECIMALS: i32 = 4;

/// Rounded to what a row shows.
pub fn rounded(value: f64) -> f64 {
    let scale = 10_f64.powi(DECIMALS);
    // Adding 0 turns -0 into 0, which prints without a sign.
    (value * scale).round() / scale + 0.0
}

/// Names of the columns.
pub fn header(question: &Question) -> String {
    let mut columns = vec!["index".to_owned()];
    columns.extend(question.plan.choices.iter().map(|choice| format!("choice.{}", choice.name)));
    columns.extend(question.plan.adjustments.iter().map(|adjustment| setting_column(adjustment.of)));
    columns.extend(FIXED.map(str::to_owned));
    columns.join(",") + "\n"
}

/// Columns that every plan has, after its choices and adjustments.
pub const FIXED: [&str; 14] = [
    "price",
    "metal_removed_mm",
    "compression_least",
    "compression_greatest",
    "margin_mm",
    "margin_of",
    "excluded_by",
    "torque_below_n_m",
    "power_above_kw",
    "peak_torque_n_m",
    "peak_power_kw",
    "knock_integral",
    "retard_deg",
    "speeds_unsettled",
];

/// Name of an adjustment's column, with its unit.
pub fn setting_column(of: Adjusted) -> String {
    let unit = match of.kind() {
        AdjustedKind::Angle => "_deg",
        AdjustedKind::Length => "_mm",
        AdjustedKind::Ratio => "",
    };
    format!("adjust.{}{unit}", of.key())
}

/// A setting in the unit of its column.
pub fn setting_shown(of: Adjusted, si: f64) -> f64 {
    match of.kind() {
        AdjustedKind::Angle => si.to_degrees(),
        AdjustedKind::Length => si * 1e3,
        AdjustedKind::Ratio => si,
    }
}

/// A row as a line of the table, its end included.
pub fn line(question: &Question, row: &Row) -> String {
    line_of(question, row, &question.combination(row.index))
}

/// The same for a combination whose settings may lie between those of the plan.
pub fn line_of(question: &Question, row: &Row, combination: &Combination) -> String {
    let mut cells = vec![row.index.to_string()];
    for (choice, option) in question.plan.choices.iter().zip(&combination.options) {
        cells.push(quoted(&choice.options[*option].name));
    }
    for (adjustment, si) in question.plan.adjustments.iter().zip(&combination.settings_si) {
        cells.push(number(rounded(setting_shown(adjustment.of, *si))));
    }
    let [least, greatest] = row.compression.map_or([None, None], |both| both.map(Some));
    let gives = |of: fn(&Gives) -> f64| maybe(row.gives.as_ref().map(of));
    cells.extend([
        row.price.to_string(),
        number(row.metal_mm),
        maybe(least),
        maybe(greatest),
        maybe(row.margin_mm),
        row.margin_of.clone(),
        row.broken.text(),
        gives(|gives| gives.torque_below_n_m),
        gives(|gives| gives.power_above_kw),
        gives(|gives| gives.peak_torque_n_m),
        gives(|gives| gives.peak_power_kw),
        gives(|gives| gives.knock),
        gives(|gives| gives.retard_deg),
        row.gives.map_or_else(String::new, |gives| gives.n_unsettled.to_string()),
    ]);
    cells.join(",") + "\n"
}

fn number(value: f64) -> String {
    format!("{value}")
}

fn maybe(value: Option<f64>) -> String {
    value.map_or_else(String::new, number)
}

/// A cell of free text.
fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

/// A row from its line; `None` where it is none of this plan.
pub fn parse(question: &Question, line: &str) -> Option<Row> {
    parse_with(question, line, None)
}

/// The same where the settings are others than its number says.
pub fn parse_with(question: &Question, line: &str, settings_si: Option<&[f64]>) -> Option<Row> {
    let cells = cells(line.strip_suffix('\n')?)?;
    let n_own = 1 + question.digits.len();
    if cells.len() != n_own + FIXED.len() {
        return None;
    }
    let index: u64 = cells[0].parse().ok().filter(|index| *index < question.n())?;
    let fixed = |name: &str| {
        let at =
            FIXED.iter().position(|known| *known == name).expect("only columns of the table are asked for");
        cells[n_own + at].as_str()
    };
    let need = |name: &str| fixed(name).parse::<f64>().ok();
    let maybe =
        |name: &str| (!fixed(name).is_empty()).then(|| need(name)).map_or(Some(None), |v| v.map(Some));
    let compression = match (maybe("compression_least")?, maybe("compression_greatest")?) {
        (Some(least), Some(greatest)) => Some([least, greatest]),
        _ => None,
    };
    let gives = match maybe("torque_below_n_m")? {
        None => None,
        Some(torque_below_n_m) => Some(Gives {
            torque_below_n_m,
            power_above_kw: need("power_above_kw")?,
            peak_torque_n_m: need("peak_torque_n_m")?,
            peak_power_kw: need("peak_power_kw")?,
            knock: need("knock_integral")?,
            retard_deg: need("retard_deg")?,
            n_unsettled: fixed("speeds_unsettled").parse().ok()?,
        }),
    };
    let row = Row {
        index,
        price: fixed("price").parse().ok()?,
        metal_mm: need("metal_removed_mm")?,
        compression,
        margin_mm: maybe("margin_mm")?,
        margin_of: fixed("margin_of").to_owned(),
        broken: BrokenSet::parse(fixed("excluded_by"))?,
        gives,
    };
    // What it is made of is in the number already; a line that says otherwise is of another plan.
    let mut combination = question.combination(index);
    if let Some(settings_si) = settings_si {
        combination.settings_si = settings_si.to_vec();
    }
    (line_of(question, &row, &combination) == line).then_some(row)
}

/// The cells of a line, quotes taken off.
fn cells(line: &str) -> Option<Vec<String>> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        let cell = cells.last_mut().expect("there is always a cell");
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                cell.push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            c => cell.push(c),
        }
    }
    (!quoted).then_some(cells)
}
