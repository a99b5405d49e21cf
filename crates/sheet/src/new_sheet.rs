//! A commented sheet to fill in, made from a few answers: what was answered stands in it, what is required and was not
//! answered stands empty, everything else is commented out with its meaning and how to measure it.

use std::fmt::Write as _;

use parts::Duty;

use crate::check::check_entry_text;
use crate::manual::without;
use crate::nearest::nearest;
use crate::schema::capital;
use crate::vocabulary::{Entry, Form, Missing, Section, Shape, cam, sheet};

/// The key of the second duty of a cam, train or spring.
const EXHAUST: &str = cam::EXHAUST.key;
/// Characters in a line of comment.
const LINE: usize = 100;

/// What somebody knows when starting a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Answers {
    /// What the build will be called.
    pub name: String,
    /// Number of cylinders.
    pub cylinders: usize,
    /// Rows of cylinders.
    pub banks: usize,
    /// Valves by name.
    valves: Vec<(String, Duty)>,
    /// Path and text, such as `block.bore` and `82.0 mm`.
    given: Vec<(String, String)>,
}

/// Why an answer was not taken.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AnswerError {
    /// No reading has that path.
    #[error("unknown reading \"{path}\"{}", .nearest.as_ref().map(|near| format!(", the nearest is {near}")).unwrap_or_default())]
    UnknownPath {
        /// As given.
        path: String,
        /// The valid path most like it.
        nearest: Option<String>,
    },
    /// The text cannot stand there.
    #[error("{path}: found {found}, expected {expected}")]
    Unreadable {
        /// As given.
        path: String,
        /// What is wrong with it.
        found: String,
        /// What could stand there.
        expected: String,
    },
}

impl Answers {
    /// An engine of which only the layout is known. Of several valves of one duty the first is called `_front`, the
    /// last `_rear` and those between by their number.
    pub fn new(
        name: &str,
        cylinders: usize,
        banks: usize,
        intake_valves: usize,
        exhaust_valves: usize,
    ) -> Self {
        let mut valves = Vec::new();
        for (duty, word, count) in
            [(Duty::Intake, "intake", intake_valves), (Duty::Exhaust, "exhaust", exhaust_valves)]
        {
            for idx in 0..count {
                let name = match idx {
                    _ if count == 1 => word.to_owned(),
                    0 => format!("{word}_front"),
                    _ if idx + 1 == count => format!("{word}_rear"),
                    _ => format!("{word}_{}", idx + 1),
                };
                valves.push((name, duty));
            }
        }
        Self { name: name.to_owned(), cylinders, banks, valves, given: Vec::new() }
    }

    /// Takes a reading for a path such as `block.bore`, `cam.intake.valve_lift` or `head.valve.exhaust.x`.
    pub fn give(&mut self, path: &str, text: &str) -> Result<(), AnswerError> {
        let all = self.paths();
        let Some((_, entry)) = all.iter().find(|(known, _)| known == path) else {
            let near = nearest(path, all.iter().map(|(known, _)| known.as_str())).map(str::to_owned);
            return Err(AnswerError::UnknownPath { path: path.to_owned(), nearest: near });
        };
        if let Some((found, expected)) = check_entry_text(entry, text) {
            return Err(AnswerError::Unreadable { path: path.to_owned(), found, expected });
        }
        self.given.retain(|(known, _)| known != path);
        self.given.push((path.to_owned(), text.to_owned()));
        Ok(())
    }

    /// Every path that can be given, in the order of the sheet.
    pub fn known_paths(&self) -> Vec<String> {
        self.paths().into_iter().map(|(path, _)| path).collect()
    }

    fn paths(&self) -> Vec<(String, &'static Entry)> {
        let mut paths = Vec::new();
        for section in sheet::BUILD.sections.iter().filter(|section| section.shape == Shape::Once) {
            collect(&mut paths, section, section.key, &self.valves);
        }
        paths
    }

    fn text(&self, path: &str) -> Option<&str> {
        self.given.iter().find(|(known, _)| known == path).map(|(_, text)| text.as_str())
    }
}

fn collect(
    paths: &mut Vec<(String, &'static Entry)>,
    section: &'static Section,
    path: &str,
    valves: &[(String, Duty)],
) {
    let readings = section.entries.iter().filter(|entry| matches!(entry.form, Form::Reading { .. }));
    paths.extend(readings.map(|entry| (format!("{path}.{}", entry.words.key), *entry)));
    for inner in section.sections {
        match (section.key, inner.key) {
            ("head", "valve") => {
                for (name, _) in valves {
                    collect(paths, inner, &format!("{path}.valve.{name}"), valves);
                }
            }
            // Outlines, pockets and the tables of a lobe or bench are filled in with an editor.
            ("flow", _) => {}
            _ if inner.shape != Shape::Once || inner.key.ends_with("_outline") => {}
            _ => collect(paths, inner, &format!("{path}.{}", inner.key), valves),
        }
    }
}

/// Writes the sheet.
pub fn new_sheet(answers: &Answers) -> String {
    let mut out = String::from(HEADER);
    let _ = writeln!(out, "format = 1\nname = {}", quoted(&answers.name));
    comment_out(&mut out, &sheet::NOTE);
    let _ = writeln!(out, "\n[engine]\ncylinders = {}\nbanks = {}", answers.cylinders, answers.banks);
    for entry in [&sheet::FIRING_ORDER, &sheet::FIRING_INTERVALS, &sheet::YEAR] {
        comment_out_line(&mut out, entry);
    }
    let runs = |section: &Section| RUNS.contains(&section.key);
    let written = sheet::BUILD.sections.iter().filter(|section| section.key != sheet::ENGINE.key);
    for section in written.clone().filter(|section| !runs(section)) {
        write_section(&mut out, answers, section, section.key);
    }
    out.push_str(RUNS_HEADER);
    for section in written.filter(|section| runs(section)) {
        write_running(&mut out, answers, section, section.key);
    }
    out
}

/// Sections that only torque and power need. All of them are estimated, so they stand in one line a key.
const RUNS: [&str; 11] = [
    "port",
    "flow",
    "induction",
    "exhaust",
    "boost",
    "fuel",
    "spark",
    "burning",
    "walls",
    "friction",
    "weather",
];

const RUNS_HEADER: &str = "
# What follows is for torque and power only. Everything left out is estimated and listed; docs/sheet.md says what the
# keys mean.
";

/// A section that stands as a comment, one line a key, except where something was answered.
fn write_running(out: &mut String, answers: &Answers, section: &Section, path: &str) {
    let text = |entry: &Entry| answers.text(&format!("{path}.{}", entry.words.key));
    if section.entries.iter().any(|entry| text(entry).is_some()) {
        let _ = write!(out, "\n[{path}]\n");
    } else if !section.entries.is_empty() {
        let _ = write!(out, "\n# [{path}]\n");
    }
    for entry in section.entries {
        match text(entry) {
            Some(text) => write_line(out, entry, text),
            None => comment_out_line(out, entry),
        }
    }
    for (idx, inner) in section.sections.iter().enumerate() {
        let path = format!("{path}.{}", inner.key);
        let given =
            inner.entries.iter().any(|entry| answers.text(&format!("{path}.{}", entry.words.key)).is_some());
        // The second has the keys of the first.
        if idx == 0 || given {
            write_running(out, answers, inner, &path);
        } else {
            let _ = write!(out, "\n# [{path}]\n");
        }
    }
}

const HEADER: &str = "\
# A Headroom build sheet. Every reading is a text with its unit; tolerance and basis may follow:
#   \"46.0 mm ± 0.05\"   \"0.400 in +/- 0.002\"   \"12 thou\"   \"62.5 cc ± 0.3, catalogue\"   \"12°30'\"
# Without a basis a reading counts as measured, without a tolerance it gets the usual one.
# Fill in what is empty. Take the # away from what you have measured; the rest is estimated.
# Places: x along the crank, positive to the front; y to the left looking forward from the flywheel; both from the
# bore axis.
";

fn write_section(out: &mut String, answers: &Answers, section: &Section, path: &str) {
    match section.key {
        "cylinder" => {
            out.push_str(CYLINDER_EXAMPLE);
            return;
        }
        "train" | "spring" => {
            for inner in section.sections {
                write_gear(out, answers, inner, &format!("{path}.{}", inner.key));
            }
            return;
        }
        "limits" => {
            comment_out_header(out, section, path);
            section.entries.iter().for_each(|entry| comment_out(out, entry));
            return;
        }
        _ => {}
    }
    if !section.entries.is_empty() {
        let _ = write!(out, "\n[{path}]\n");
        comment(out, "", &format!("{}.", capital(section.meaning)));
    }
    for entry in section.entries {
        write_entry(out, entry, answers.text(&format!("{path}.{}", entry.words.key)));
    }
    for inner in section.sections {
        match inner.key {
            "intake" | "exhaust" => write_gear(out, answers, inner, &format!("{path}.{}", inner.key)),
            "valve" => write_valves(out, answers, inner, &format!("{path}.valve")),
            "pocket" => out.push_str(POCKET_EXAMPLE),
            // A list nothing of which is known yet, an outline, or what many crowns have not got.
            _ if inner.shape == Shape::List
                || inner.key.ends_with("_outline")
                || matches!(inner.key, "dome" | "dish") =>
            {
                comment_out_header(out, inner, &format!("{path}.{}", inner.key));
                inner.entries.iter().for_each(|entry| comment_out(out, entry));
            }
            _ => write_section(out, answers, inner, &format!("{path}.{}", inner.key)),
        }
    }
}

/// Writes the cam, train or springs of one duty. Explained at the intake; the exhaust has the same keys. A table of which
/// nothing is required or given stands as a comment.
fn write_gear(out: &mut String, answers: &Answers, section: &Section, path: &str) {
    let text = |entry: &Entry| answers.text(&format!("{path}.{}", entry.words.key));
    let written = |entry: &&&'static Entry| entry.missing == Missing::Required || text(entry).is_some();
    let explained = section.key != EXHAUST;
    if section.entries.iter().any(|entry| written(&entry)) {
        let _ = write!(out, "\n[{path}]\n");
        comment(out, "", &format!("{}.", capital(section.meaning)));
    } else {
        comment_out_header(out, section, path);
    }
    for entry in section.entries.iter().filter(|entry| explained || written(entry)) {
        write_entry(out, entry, text(entry));
    }
    if !explained {
        comment(out, "", "The other keys are those of the intake.");
        return;
    }
    for inner in section.sections {
        comment_out_header(out, inner, &format!("{path}.{}", inner.key));
        for entry in inner.entries {
            comment_out_line(out, entry);
        }
    }
}

/// A table that is not there: what it would say, and its header as a comment.
fn comment_out_header(out: &mut String, section: &Section, path: &str) {
    comment(out, "\n", &format!("{}:", capital(section.meaning)));
    let header = match section.shape {
        Shape::List => format!("[[{path}]]"),
        _ => format!("[{path}]"),
    };
    comment(out, "", &header);
}

fn write_valves(out: &mut String, answers: &Answers, section: &Section, path: &str) {
    for (idx, (name, duty)) in answers.valves.iter().enumerate() {
        let duty = if *duty == Duty::Exhaust { "exhaust" } else { "intake" };
        let _ = write!(out, "\n[[{path}]]\nname = {}\nduty = \"{duty}\"\n", quoted(name));
        for entry in section.entries.iter().filter(|entry| matches!(entry.form, Form::Reading { .. })) {
            let text = answers.text(&format!("{path}.{name}.{}", entry.words.key));
            match (idx, text) {
                (0, text) => write_entry(out, entry, text),
                // Explained at the first valve.
                (_, Some(text)) => write_line(out, entry, text),
                (_, None) if entry.missing == Missing::Required => write_line(out, entry, ""),
                (_, None) => {
                    let _ = writeln!(out, "# {} = {}", entry.words.key, quoted(entry.words.example));
                }
            }
        }
    }
}

fn write_entry(out: &mut String, entry: &Entry, text: Option<&str>) {
    match text {
        Some(text) => {
            explain(out, entry);
            write_line(out, entry, text);
        }
        None if entry.missing == Missing::Required => {
            explain(out, entry);
            write_line(out, entry, "");
        }
        None => comment_out(out, entry),
    }
}

fn write_line(out: &mut String, entry: &Entry, text: &str) {
    let _ = writeln!(out, "{} = {}", entry.words.key, quoted(text));
}

fn explain(out: &mut String, entry: &Entry) {
    let mut words = capital(entry.words.meaning);
    if !entry.words.measure.is_empty() {
        let _ = write!(words, ". Measure: {}", entry.words.measure);
    }
    comment(out, "", &format!("{words}."));
}

fn comment_out(out: &mut String, entry: &Entry) {
    explain(out, entry);
    if let Some(without) = without(entry) {
        comment(out, "", &format!("Without it: {without}."));
    }
    comment_out_line(out, entry);
}

fn comment_out_line(out: &mut String, entry: &Entry) {
    let example =
        if entry.form.is_bare() { entry.words.example.to_owned() } else { quoted(entry.words.example) };
    let _ = writeln!(out, "# {} = {example}", entry.words.key);
}

/// Wraps a text into lines of comment.
fn comment(out: &mut String, before: &str, text: &str) {
    out.push_str(before);
    let mut length = 0;
    for word in text.split_whitespace() {
        let fits = length > 0 && length + 1 + word.chars().count() <= LINE;
        if !fits {
            if length > 0 {
                out.push('\n');
            }
            out.push('#');
            length = 1;
        }
        out.push(' ');
        out.push_str(word);
        length += 1 + word.chars().count();
    }
    out.push('\n');
}

/// A TOML basic string.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

const POCKET_EXAMPLE: &str = "
# A valve pocket in the crown, one for each valve that has one:
# [[piston.pocket]]
# valve = \"intake\"
# x = \"21 mm\"
# y = \"0 mm\"
# diameter = \"43 mm\"
# depth = \"2.5 mm\"
";

const CYLINDER_EXAMPLE: &str = "
# What one cylinder has of its own; all else is common. mirrored turns valves, chamber and pockets front to back.
# [[cylinder]]
# number = 2
# mirrored = true
# [cylinder.block]
# bore = \"82.02 mm ± 0.01\"
# [cylinder.head.valve.exhaust]
# x = \"-21.4 mm ± 0.1\"
";
