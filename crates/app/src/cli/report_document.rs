//! What stands in the report of a swap, in which order: the answers of `swap`, `relief`, `volumes`, `lift`, `pull` and
//! `pulls compare` put together. Leaves out how it looks, which crate `handover` knows, and computes nothing itself.

use handover::{Block, Column, Document, Paper, Section};
use headroom::calibrate_file::CalibrationFile;
use headroom::lift::{LiftAnswer, LiftOptions, lift};
use headroom::relief::{ReliefAnswer, ReliefOptions, relief};
use headroom::volumes::{VolumesAnswer, volumes};
use headroom::{
    CheckOptions, Finding, PayoffAnswer, Status, SwapAnswer, lift_svg, lift_words, pulls_svg, pulls_words,
    verdict, volumes_words, words,
};
use parts::Build;
use pulls::Comparison;
use report::cautions::CAUTIONS;
use sheet::Candidate;
use units::{UnitSystem, show};

use super::report_pull::Predicted;
use super::sheets::InputText;
use super::swap_payoff::PayoffArgs;
use super::{check, report_cuts, report_next, report_payoff, report_pull, report_volumes, swap_payoff};

/// Everything that is reported.
pub struct Answered<'a> {
    /// The candidate as a whole engine.
    pub build: &'a Build,
    /// Name of the base.
    pub base_name: &'a str,
    /// What the swap comes to.
    pub swap: SwapAnswer,
    /// What to cut.
    pub relief: ReliefAnswer,
    /// The cc's of base and candidate.
    pub volumes: [VolumesAnswer; 2],
    /// How the candidate's valves move.
    pub lift: LiftAnswer,
    /// Torque and power, predicted.
    pub predicted: Predicted,
    /// Whether it is better where the engine is used, or why that cannot be told; `None` when nobody wants to know.
    pub payoff: Option<Result<PayoffAnswer, String>>,
    /// Measured pulls, where some were given.
    pub comparison: Option<&'a Comparison>,
    /// Units of the report.
    pub system: UnitSystem,
}

impl<'a> Answered<'a> {
    /// Asks what each command asks, with the options it has when nothing is said.
    pub fn new(
        base: &'a Build,
        candidate: &'a Candidate,
        comparison: Option<&'a Comparison>,
        calibration: Option<CalibrationFile>,
        asked: &PayoffArgs,
        system: UnitSystem,
    ) -> Self {
        let build = &candidate.build;
        let revs = build.used.rev_limit.map(|limit| limit.value);
        let swap = headroom::swap(base, candidate, &CheckOptions::default());
        Self {
            build,
            base_name: &base.name,
            payoff: asked.answer(base, candidate, &swap.fit, calibration.as_ref()),
            swap,
            relief: relief(build, &ReliefOptions::default()),
            volumes: [volumes(base), volumes(build)],
            lift: lift(build, &LiftOptions { revs }),
            predicted: Predicted::new(base, build, &candidate.name, calibration),
            comparison,
            system,
        }
    }

    /// The answer in a few sentences: whether it clears, whether it is worth building, then the rest.
    pub fn verdict(&self) -> Vec<String> {
        let mut sentences = verdict::sentences(&self.swap, self.system);
        let payoff = self.payoff.as_ref();
        let decides =
            payoff.map(|payoff| swap_payoff::sentences(payoff, self.swap.fit.status(), self.system).0);
        sentences.splice(1..1, decides);
        sentences
    }
}

/// The report.
pub fn document(answered: &Answered, texts: &[InputText], paper: Paper) -> Document {
    let digest = digest(texts);
    let mut sections = vec![verdict_page(answered)];
    sections.extend(report_payoff::section(answered));
    sections.push(findings(answered));
    sections.push(report_cuts::section(answered, paper));
    sections.push(report_volumes::section(answered));
    sections.push(curves(answered));
    sections.push(report_pull::section(&answered.predicted, answered.system));
    sections.extend(answered.comparison.map(|comparison| measured(comparison, answered.system)));
    sections.push(assumed(answered));
    sections.push(report_next::section(answered));
    sections.push(notes(answered));
    sections.push(section("Cautions", vec![Block::Cautions { items: cautions(answered) }]));
    sections.push(input(texts, &digest));
    Document {
        title: answered.swap.name.clone(),
        subtitle: format!("on {}", answered.base_name),
        footer: format!("Headroom {}, input blake3 {}", env!("CARGO_PKG_VERSION"), &digest[..16]),
        paper,
        sections,
    }
}

/// One digest of all that was read, in order; each text goes in after its length, so that no two lists of texts make
/// the same stream of bytes. Names of files do not count.
pub fn digest(texts: &[InputText]) -> String {
    let mut hasher = blake3::Hasher::new();
    for text in texts {
        hasher.update(&(text.bytes.len() as u64).to_le_bytes());
        hasher.update(&text.bytes);
    }
    hasher.finalize().to_hex().to_string()
}

/// A section that goes on where the last one ended.
pub fn section(heading: &str, blocks: Vec<Block>) -> Section {
    Section { heading: heading.to_owned(), new_page: false, blocks }
}

/// A paragraph.
pub fn paragraph(text: impl Into<String>) -> Block {
    Block::Paragraph { text: text.into() }
}

/// A table from rows of which the first is the head; columns listed in `numbers` hold numbers. Columns without a cell that says
/// anything are left out.
pub fn table(mut rows: Vec<Vec<String>>, numbers: &[usize]) -> Block {
    let head = if rows.is_empty() { Vec::new() } else { rows.remove(0) };
    let says_something = |idx: &usize| {
        rows.is_empty() || rows.iter().any(|row| row.get(*idx).is_some_and(|cell| !cell.is_empty()))
    };
    let kept: Vec<usize> = (0..head.len()).filter(says_something).collect();
    let columns = kept
        .iter()
        .map(|&idx| Column { heading: head[idx].clone(), number: numbers.contains(&idx) })
        .collect();
    let cells =
        |row: &Vec<String>| kept.iter().map(|&idx| row.get(idx).cloned().unwrap_or_default()).collect();
    let rows = rows.iter().map(cells).collect();
    Block::Table { columns, rows }
}

fn verdict_page(answered: &Answered) -> Section {
    let parts: Vec<&str> = answered.swap.parts_replaced.iter().map(|part| part.key()).collect();
    let mut blocks = vec![Block::Answer { sentences: answered.verdict() }];
    blocks.push(paragraph(format!("Changed against the base: {}.", parts.join(", "))));
    blocks.push(Block::Cautions { items: words::CAUTIONS.map(str::to_owned).to_vec() });
    section("Verdict", blocks)
}

fn findings(answered: &Answered) -> Section {
    let (fit, system) = (&answered.swap.fit, answered.system);
    let head = ["stands", "check", "least gap", "limit", "chance under limit", "who sets the limit"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(fit.findings.iter().map(|finding| finding_row(finding, system)));
    let mut blocks = vec![table(rows, &[2, 3, 4])];
    for finding in fit.findings.iter().filter(|one| matches!(one.status, Status::Hits | Status::Tight)) {
        let lines = check::finding_lines(finding, answered.swap.n_cylinders, system);
        blocks.push(paragraph(format!(
            "{} ({}):",
            capitalised(&words::subject(finding)),
            finding.status.word()
        )));
        blocks.push(Block::List { items: lines });
    }
    section("Findings", blocks)
}

fn finding_row(finding: &Finding, system: UnitSystem) -> Vec<String> {
    let (gap, chance) = match &finding.seen {
        Some(seen) => (words::gap(seen, system), words::chance(seen.chance_under_limit)),
        None => ("unknown".to_owned(), String::new()),
    };
    let word = finding.status.word();
    let stands = if matches!(finding.status, Status::Hits | Status::Tight) {
        word.to_uppercase()
    } else {
        word.to_owned()
    };
    vec![
        stands,
        words::subject(finding),
        gap,
        show(finding.limit, system),
        chance,
        finding.limit_source.clone(),
    ]
}

/// With its first letter in upper case.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

fn curves(answered: &Answered) -> Section {
    let (answer, system) = (&answered.lift, answered.system);
    let mut blocks = vec![paragraph(lift_words::verdict(answer, system).join(" "))];
    if !answer.duties.is_empty() {
        let caption = "Lift, velocity and acceleration of the valves over two turns of the crank".to_owned();
        blocks.push(Block::Figure { svg: lift_svg::svg(answer, system), caption });
    }
    section("How the valves move", blocks)
}

fn measured(comparison: &Comparison, system: UnitSystem) -> Section {
    let corrected = pulls_words::corrected_to(comparison.standard);
    section(
        "Measured pulls",
        vec![
            paragraph(pulls_words::verdict(comparison, system).join(" ")),
            paragraph(
                "These pulls are what the files say they are; nothing else in this report is reckoned from them.",
            ),
            Block::Figure {
                svg: pulls_svg::svg(comparison, system),
                caption: format!("The pulls over each other, {corrected}"),
            },
        ],
    )
}

fn assumed(answered: &Answered) -> Section {
    let parts = &answered.swap.fit.assumed;
    let parts =
        parts.iter().map(|one| vec![one.path.clone(), one.shown(answered.system), one.rule.to_owned()]);
    let running = answered.predicted.assumed_rows(answered.system);
    let mut blocks = Vec::new();
    for (what, assumed) in [("Of the parts", parts.collect()), ("Of how it runs", running)] {
        if !assumed.is_empty() {
            let head = vec![["reading", "taken for it", "by which rule"].map(str::to_owned).to_vec()];
            blocks.extend([paragraph(what), table([head, assumed].concat(), &[])]);
        }
    }
    if blocks.is_empty() {
        blocks.push(paragraph("Nothing: every reading was given."));
    }
    section("Assumed, because nobody gave it", blocks)
}

fn notes(answered: &Answered) -> Section {
    let swap = &answered.swap;
    let mut items = check::notes(&swap.notes, &swap.fit, swap.n_cylinders, answered.system);
    items.extend(
        answered.relief.notes.iter().filter(|note| !items.contains(note)).cloned().collect::<Vec<_>>(),
    );
    section("Notes", vec![Block::List { items: items.iter().map(|item| as_sentence(item)).collect() }])
}

/// A remark that begins as a sentence does; one that begins with a reading's path keeps it as it is written in the sheet.
fn as_sentence(remark: &str) -> String {
    let path = remark.split([' ', ':']).next().is_some_and(|word| word.contains('.'));
    if path { remark.to_owned() } else { capitalised(remark) }
}

fn cautions(answered: &Answered) -> Vec<String> {
    let mut items: Vec<String> = CAUTIONS.map(str::to_owned).to_vec();
    items.push(volumes_words::CAUTION.to_owned());
    items.push(lift_words::CAUTION.to_owned());
    items.extend(answered.comparison.map(|_| pulls_words::CAUTION.to_owned()));
    items
}

fn input(texts: &[InputText], digest: &str) -> Section {
    let mut rows = vec![["file", "bytes", "blake3"].map(str::to_owned).to_vec()];
    rows.extend(texts.iter().map(|text| {
        let hash = blake3::hash(&text.bytes).to_hex();
        vec![text.name.clone(), text.bytes.len().to_string(), hash[..16].to_owned()]
    }));
    let all = format!(
        "Headroom {} read these files. Digest of all of them in this order, each after its length: {digest}",
        env!("CARGO_PKG_VERSION")
    );
    section("What it was reckoned from", vec![paragraph(all), table(rows, &[1])])
}
