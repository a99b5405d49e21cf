//! What a plan says, the builds it makes, and what is said when it cannot be read.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use sheet::plan::{Adjusted, Clear, Objective};
use sheet::{File, PartName, Plan, Problems, read_plan_bytes};
use units::length::millimeter;

fn demo(name: &str) -> Result<Vec<u8>, String> {
    let path = format!("{}/../../demos/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read(path).map_err(|error| error.to_string())
}

fn read(body: &str) -> Result<Plan, Problems> {
    let text = format!("format = 1\nname = \"P\"\nbase = \"heron.build.toml\"\n{body}");
    read_plan_bytes(text.as_bytes(), &mut |name| demo(name))
}

/// The one problem of a plan: line, found, expected.
fn wrong(body: &str) -> (usize, String, String) {
    let problems = read(body).unwrap_err();
    let list = problems.list();
    assert_eq!(list.len(), 1, "{problems}");
    (list[0].line, list[0].found.clone(), list[0].expected.clone())
}

const HEADS: &str = r#"
[[choice]]
name = "head"
[[choice.option]]
name = "as it is"
[[choice.option]]
name = "Bittern head alone"
from = "heron-with-bittern-head.swap.toml"
take = ["head"]
price = 400
[[choice]]
name = "gasket"
[[choice.option]]
name = "thick"
price = 30
[choice.option.change.gasket]
thickness = "1.8 mm"
[[choice.option]]
name = "Bittern gasket"
from = "heron-with-bittern-head.swap.toml"
take = ["gasket"]
removes = "0.1 mm"
"#;

#[test]
fn exact_options_make_builds() {
    let plan = read(HEADS).unwrap();
    let parts = |choice: usize, option: usize| plan.choices[choice].options[option].parts.clone();
    assert_eq!(parts(0, 0), []);
    assert_eq!(parts(0, 1), [PartName::Head]);
    assert_eq!(parts(1, 0), [PartName::Gasket]);
    let seen = |options: &[usize]| {
        let cylinder = plan.build(options).unwrap().build.cylinders.remove(0);
        let mm = |length: units::Length| (length.get::<millimeter>() * 1e6).round() / 1e6;
        let valve = cylinder.valve("intake").unwrap().head_diameter.value;
        (mm(valve), mm(cylinder.gasket.thickness.value))
    };
    assert_eq!(seen(&[0, 0]), (41.0, 1.8));
    assert_eq!(seen(&[1, 0]), (43.0, 1.8));
    assert_eq!(seen(&[1, 1]), (43.0, 1.3));
    assert_eq!(plan.choices[1].options[1].removes.get::<millimeter>(), 0.1);
    assert_eq!(plan.objectives, Objective::ALL);
    assert_eq!(plan.must.clear, Clear::Limits);
    // The plan, the base, the swap sheet twice.
    assert_eq!(plan.texts().count(), 4);
}

#[test]
fn exact_ranges_in_steps_and_without() {
    let body = "[adjust.skim]\nfrom = \"0 mm\"\nto = \"0.6 mm\"\nstep = \"0.2 mm\"\nprice = 80\n\
                [adjust.cam_advance]\nfrom = \"-4 deg\"\nto = \"4 deg\"\npoints = 5\n";
    let plan = read(body).unwrap();
    let [advance, skim] = &plan.adjustments[..] else { panic!("two adjustments") };
    assert_eq!((advance.of, advance.continuous, advance.settings_si.len()), (Adjusted::CamAdvance, true, 5));
    assert_eq!((skim.of, skim.continuous, skim.price), (Adjusted::Skim, false, 80));
    let mm: Vec<f64> = skim.settings_si.iter().map(|si| (si * 1e4).round() / 10.0).collect();
    assert_eq!(mm, [0.0, 0.2, 0.4, 0.6]);
}

#[test]
fn exact_problems_have_their_place() {
    let (line, found, expected) = wrong("[adjust.skim]\nfrom = \"0.4 mm\"\nto = \"0.2 mm\"\n");
    assert_eq!((line, found.as_str()), (4, "an end below the beginning"), "{expected}");
    let (line, found, _) = wrong("[[choice]]\nname = \"head\"\n[[choice.option]]\nname = \"a\"\nprise = 3\n");
    assert_eq!((line, found.as_str()), (8, "the unknown key \"prise\""));
    let (line, found, _) = wrong("[adjust.skim]\nfrom = \"0 mm\"\nto = \"1\"\n");
    assert_eq!(line, 6, "{found}");
    let (_, found, _) = wrong("[[choice]]\nname = \"head\"\n");
    assert_eq!(found, "a choice without options");
    let (_, found, _) = wrong("[band]\npoints = 6\n");
    assert_eq!(found, "nothing to choose and nothing to set");
    let (_, found, expected) = wrong(&format!("[must]\nclear = \"yes\"\n{HEADS}"));
    assert!(found.contains("yes") && expected.contains("\"limits\""), "{found}: {expected}");
}

#[test]
fn exact_problems_of_named_sheets_are_in_those_sheets() {
    let text = "format = 1\nname = \"P\"\nbase = \"b\"\n[adjust.deck]\nfrom = \"0 mm\"\nto = \"1 mm\"\n";
    let mut resolve = |_: &str| Ok(b"format = 1\nname = 3\n".to_vec());
    let problems = read_plan_bytes(text.as_bytes(), &mut resolve).unwrap_err();
    assert!(problems.list().iter().any(|problem| problem.file == File::Other("b".into())), "{problems}");
    let mut none = |_: &str| Err("no such file".to_owned());
    let problems = read_plan_bytes(text.as_bytes(), &mut none).unwrap_err();
    assert_eq!((problems.list()[0].line, problems.list()[0].file.clone()), (3, File::Candidate));
}
