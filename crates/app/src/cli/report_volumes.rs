//! The report's part about compression: which change brings how much, and the cc's of base and candidate.

use handover::{Block, Section};
use headroom::volumes::CylinderVolumes;
use headroom::volumes_change::CylinderChange;
use headroom::{volumes_words, words};
use units::{Length, Quantity, Reading, UnitSystem, Volume, show};

use super::report_document::{self, Answered, paragraph, table};
use super::volumes::amount_text;

/// The section.
pub fn section(answered: &Answered) -> Section {
    let (change, system) = (&answered.swap.compression, answered.system);
    let n_all = answered.swap.n_cylinders;
    let mut blocks = vec![paragraph(volumes_words::change_verdict(change).join(" "))];
    for group in &change.groups {
        let on = words::cylinders(&group.cylinders, n_all);
        blocks.push(paragraph(format!("What each change brings, {on}")));
        blocks.push(shares(group, system));
    }
    let [base, candidate] = &answered.volumes;
    for group in &candidate.groups {
        let of_base = base.groups.iter().find(|other| other.cylinders.contains(&group.cylinders[0]));
        let on = words::cylinders(&group.cylinders, n_all);
        blocks.push(paragraph(format!("Volumes at top dead centre, {on}")));
        blocks.push(volumes(group, of_base, system));
    }
    blocks.push(paragraph(format!("All cylinders together sweep {}.", show(candidate.displacement, system))));
    report_document::section("Compression and volumes", blocks)
}

fn shares(group: &CylinderChange, system: UnitSystem) -> Block {
    let mut rows = vec![["change", "base", "candidate", "compression"].map(str::to_owned).to_vec()];
    for share in group.shares.iter().filter(|share| share.share.value.si() != 0.0) {
        let [before, after] = [share.before, share.after].map(|amount| amount_text(amount, system));
        rows.push(vec![share.change.words().to_owned(), before, after, volumes_words::gain(&share.share)]);
    }
    let [base, candidate] = [&group.base, &group.candidate].map(volumes_words::ratio);
    rows.push(vec!["together".to_owned(), base, candidate, volumes_words::gain(&group.difference)]);
    table(rows, &[1, 2, 3])
}

fn volumes(group: &CylinderVolumes, base: Option<&CylinderVolumes>, system: UnitSystem) -> Block {
    let mut rows = vec![["", "base", "candidate", "basis"].map(str::to_owned).to_vec()];
    let volume = |figure: &Reading<Volume>| volumes_words::volume(figure, system);
    let length = |figure: &Reading<Length>| volumes_words::length(figure, system);
    for (idx, part) in group.parts.iter().enumerate() {
        let of_base = base.map(|base| &base.parts[idx]);
        if part.is_told() || of_base.is_some_and(|of_base| of_base.is_told()) {
            rows.push(row(part.part.word(), &part.volume, of_base.map(|part| &part.volume), volume));
        }
    }
    rows.push(row("clearance", &group.clearance, base.map(|base| &base.clearance), volume));
    rows.push(row("swept", &group.swept, base.map(|base| &base.swept), volume));
    rows.push(row("quench", &group.quench, base.map(|base| &base.quench), length));
    table(rows, &[1, 2])
}

fn row<Q: Quantity>(
    what: &str,
    figure: &Reading<Q>,
    base: Option<&Reading<Q>>,
    shown: impl Fn(&Reading<Q>) -> String,
) -> Vec<String> {
    let of_base = base.map_or_else(String::new, &shown);
    vec![what.to_owned(), of_base, shown(figure), figure.basis.word().to_owned()]
}
