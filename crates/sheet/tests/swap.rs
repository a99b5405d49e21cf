//! What a swap sheet does to its base, and what is said when it cannot be done.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use parts::Build;
use parts::limit::Check;
use sheet::{Candidate, File, PartName, Problems, read_build, read_candidate};
use units::length::millimeter;

const BASE: &str = r#"format = 1
name = "Base"
[engine]
cylinders = 3
[block]
bore = "82 mm"
stroke = "76 mm"
[gasket]
thickness = "1.2 mm"
opening_outline = { unit = "mm", points = [[44, 0], [0, 44], [-44, 0], [0, -44]] }
[head]
chamber_volume = "42 cc"
[[head.valve]]
name = "in"
duty = "intake"
head_diameter = "38 mm"
x = "19 mm"
y = "1 mm"
[[head.valve]]
name = "ex"
duty = "exhaust"
head_diameter = "34 mm"
x = "-20 mm"
y = "2 mm"
[piston]
[[piston.pocket]]
valve = "in"
x = "19 mm"
y = "1 mm"
diameter = "42 mm"
depth = "1 mm"
[cam.intake]
valve_lift = "10 mm"
[cam.exhaust]
valve_lift = "9 mm"
[limits]
valve_to_block = "1 mm"
[[cylinder]]
number = 2
mirrored = true
[cylinder.head]
chamber_volume = "42.5 cc"
[cylinder.head.valve.ex]
x = "-20.4 mm"
[cylinder.gasket]
thickness = "1.25 mm"
"#;

fn read(swap: &str) -> Result<Candidate, Problems> {
    let text = format!("format = 1\nname = \"Swap\"\n{swap}");
    read_candidate(BASE, &text, &mut |name| match name {
        "base.build.toml" => Ok(BASE.replace("\"42 cc\"", "\"50 cc\"")),
        "bad.build.toml" => Ok(BASE.replace("\"42 cc\"", "\"50 mm\"")),
        other => Err(format!("no file {other}")),
    })
}

fn good(swap: &str) -> Candidate {
    read(swap).unwrap_or_else(|problems| panic!("{problems}"))
}

fn base() -> Build {
    read_build(BASE).unwrap().build
}

fn mm(length: units::Length) -> f64 {
    (length.get::<millimeter>() * 1e6).round() / 1e6
}

#[test]
fn exact_mirroring_turns_common_readings_and_leaves_own_ones() {
    let build = base();
    let [plain, mirrored] = [0, 1].map(|idx| build.cylinders[idx].clone());
    let x = |name: &str| mm(mirrored.valve(name).unwrap().x.value);
    assert_eq!((x("in"), x("ex")), (-19.0, -20.4));
    let mut by_hand = plain;
    by_hand.head.valves[0].mirror();
    by_hand.gasket.opening.mirror();
    by_hand.piston.pockets[0].mirror();
    assert_eq!(mirrored.head.valves[0], by_hand.head.valves[0]);
    assert_eq!(mirrored.gasket.opening.shape, by_hand.gasket.opening.shape);
    assert_eq!(mirrored.piston.pockets[0].x, by_hand.piston.pockets[0].x);
}

#[test]
fn exact_a_change_wins_over_what_one_cylinder_had() {
    let candidate = good(
        "[change.gasket]\nthickness = \"1.5 mm\"\nopening = \"86 mm\"\n[change.head.valve.ex]\nx = \"-18 mm\"\n",
    );
    assert_eq!(candidate.parts_replaced, [PartName::Gasket, PartName::Head]);
    for cylinder in &candidate.build.cylinders {
        assert_eq!(mm(cylinder.gasket.thickness.value), 1.5);
        assert!(matches!(cylinder.gasket.opening.shape, parts::Shape::Circle { .. }));
    }
    let x = |idx: usize| mm(candidate.build.cylinders[idx].valve("ex").unwrap().x.value);
    assert_eq!((x(0), x(1), x(2)), (-18.0, 18.0, -18.0));
    assert_eq!(candidate.notes.len(), 2, "{:?}", candidate.notes);
    // Nothing else changed.
    let chamber = |build: &Build| build.cylinders[1].head.chamber_volume;
    assert_eq!(chamber(&candidate.build), chamber(&base()));
}

#[test]
fn exact_a_replaced_part_takes_nothing_from_the_old_one() {
    let candidate = good(
        "[replace.gasket]\nopening = \"85 mm\"\n[[cylinder]]\nnumber = 3\n[cylinder.gasket]\nthickness = \"0.9 mm\"\n",
    );
    assert_eq!(candidate.parts_replaced, [PartName::Gasket]);
    let thickness = |idx: usize| candidate.build.cylinders[idx].gasket.thickness;
    assert_eq!(thickness(0), parts::estimate::gasket_thickness());
    assert_eq!(thickness(1), thickness(0));
    assert_eq!(mm(thickness(2).value), 0.9);
    assert_eq!(candidate.notes.len(), 1, "{:?}", candidate.notes);
}

#[test]
fn exact_parts_from_another_sheet_bring_their_cylinders_along() {
    let candidate =
        good("from = \"base.build.toml\"\ntake = [\"head\"]\n[change.cam.intake]\nvalve_lift = \"11 mm\"\n");
    assert_eq!(candidate.parts_replaced, [PartName::Head, PartName::Cam]);
    let cc =
        |idx: usize| (candidate.build.cylinders[idx].head.chamber_volume.value.value * 1e9).round() / 1e3;
    assert_eq!((cc(0), cc(1), cc(2)), (50.0, 42.5, 50.0));
    assert_eq!(mm(candidate.build.cylinders[0].valve("in").unwrap().lift.value), 11.0);
    let cam_only = candidate.with_only(&[PartName::Cam]).unwrap();
    assert_eq!(cam_only.cylinders[0].head.chamber_volume, base().cylinders[0].head.chamber_volume);
    assert_eq!(mm(cam_only.cylinders[0].valve("in").unwrap().lift.value), 11.0);
}

#[test]
fn exact_a_full_sheet_is_a_candidate_of_the_parts_that_differ() {
    let other =
        BASE.replace("\"76 mm\"", "\"80 mm\"").replace("1.25 mm", "1.3 mm").replace("\"Base\"", "\"Other\"");
    let candidate = read_candidate(BASE, &other, &mut |_| Err("none".into())).unwrap();
    assert_eq!(candidate.parts_replaced, [PartName::Block, PartName::Gasket]);
    assert_eq!(candidate.build, read_build(&other).unwrap().build);
    assert_eq!(candidate.with_only(&PartName::ALL).unwrap(), candidate.build);
    assert_eq!(candidate.with_only(&[]).unwrap().cylinders, base().cylinders);
    let block_only = candidate.with_only(&[PartName::Block]).unwrap();
    assert_eq!(block_only.cylinders[1].gasket, base().cylinders[1].gasket);
    assert_eq!(mm(block_only.cylinders[1].block.stroke.value), 80.0);
}

#[test]
fn exact_limits_of_the_swap_stand_beside_those_of_the_base() {
    let candidate = good("[limits]\nvalve_to_gasket = \"2 mm\"\n[change.gasket]\nthickness = \"1.5 mm\"\n");
    assert_eq!(mm(candidate.build.limits.of(Check::ValveToBlock).least), 1.0);
    assert_eq!(mm(candidate.build.limits.of(Check::ValveToGasket).least), 2.0);
}

#[test]
fn exact_a_pocket_for_a_valve_of_the_old_head_is_noted() {
    let candidate = good(
        "[replace.head]\nchamber_volume = \"40 cc\"\n\
         [[replace.head.valve]]\nname = \"inlet\"\nduty = \"intake\"\nhead_diameter = \"30 mm\"\nx = \"1 mm\"\ny = \"1 mm\"\n\
         [[replace.head.valve]]\nname = \"ex\"\nduty = \"exhaust\"\nhead_diameter = \"30 mm\"\nx = \"1 mm\"\ny = \"1 mm\"\n",
    );
    assert!(candidate.notes.iter().any(|note| note.contains("pocket")), "{:?}", candidate.notes);
}

type Message = (File, usize, usize, &'static str, &'static str, Option<&'static str>);

fn check_wrong(swap: &str, expected: &[Message]) {
    let problems = read(swap).expect_err(swap);
    let got: Vec<_> = problems
        .list()
        .iter()
        .map(|problem| {
            let (found, expected) = (problem.found.as_str(), problem.expected.as_str());
            (problem.file.clone(), problem.line, problem.column, found, expected, problem.help.as_deref())
        })
        .collect();
    assert_eq!(got, expected, "{swap}\n{problems}");
}

const NOTHING: Message = (
    File::Candidate,
    1,
    1,
    "nothing that differs from the base",
    "a part under [replace], a reading under [change], or from and take",
    None,
);
const PARTS: &str = "one of \"block\", \"gasket\", \"head\", \"piston\", \"cam\", \"train\", \"spring\", \"port\", \"flow\", \"induction\", \"exhaust\", \"boost\", \"fuel\", \"spark\", \"burning\", \"walls\", \"friction\"";

#[test]
fn exact_swaps_of_nothing() {
    check_wrong("", &[NOTHING]);
    let keys = "one of format, name, note, from, take, replace, change, limits, payoff, cylinder";
    let help = Some("write [replace.head] for a whole part, [change.head] for single readings");
    check_wrong(
        "[head]\nchamber_volume = \"4 cc\"\n",
        &[NOTHING, (File::Candidate, 3, 2, "the unknown key \"head\"", keys, help)],
    );
    let help = Some("the nearest valid key is replace");
    check_wrong(
        "[replase.head]\n",
        &[NOTHING, (File::Candidate, 3, 2, "the unknown key \"replase\"", keys, help)],
    );
}

#[test]
fn exact_wrong_takings_point_into_the_right_file() {
    check_wrong(
        "take = [\"head\"]\n",
        &[(
            File::Candidate,
            3,
            1,
            "no from beside take",
            "from = \"other.build.toml\", the sheet to take from",
            None,
        )],
    );
    check_wrong(
        "from = \"gone.toml\"\ntake = [\"head\"]\n",
        &[(
            File::Candidate,
            3,
            8,
            "\"gone.toml\", which cannot be read: no file gone.toml",
            "the name of a full build sheet",
            None,
        )],
    );
    check_wrong(
        "from = \"bad.build.toml\"\ntake = [\"head\"]\n",
        &[(
            File::Other("bad.build.toml".into()),
            12,
            22,
            "the unit mm of a length",
            "a volume (cc, in3, ml, l)",
            Some("for example \"46.5 cc ± 0.3\""),
        )],
    );
    check_wrong(
        "from = \"base.build.toml\"\ntake = [\"haed\", \"cam\", \"cam\"]\n",
        &[
            (File::Candidate, 4, 9, "the text \"haed\"", PARTS, Some("the nearest valid word is head")),
            (File::Candidate, 4, 24, "the text \"cam\" a second time", PARTS, None),
        ],
    );
    check_wrong(
        "from = \"base.build.toml\"\ntake = [\"gasket\"]\n[replace.gasket]\n",
        &[(
            File::Candidate,
            5,
            10,
            "gasket both taken from the other sheet and replaced",
            "one of the two",
            None,
        )],
    );
}

#[test]
fn exact_wrong_parts_point_into_the_right_file() {
    check_wrong(
        "[replace.head]\n",
        &[
            (File::Candidate, 3, 1, "0 valves", "2 to 5 valves, each in its [[head.valve]]", None),
            (
                File::Candidate,
                3,
                1,
                "no chamber_volume",
                "chamber_volume = \"46.5 cc ± 0.3\", chamber below the head's gasket face with plug fitted and valves shut",
                None,
            ),
        ],
    );
    check_wrong(
        "[change.gasket]\nthickness = \"1 cc\"\n",
        &[(
            File::Candidate,
            4,
            16,
            "the unit cc of a volume",
            "a length (mm, in, thou, cm, m)",
            Some("for example \"1.10 mm ± 0.05\""),
        )],
    );
    check_wrong(
        "[change.head.valve.exx]\nx = \"1 mm\"\n",
        &[(File::Candidate, 3, 20, "no valve is named \"exx\"", "in, ex", None)],
    );
    let (before, pocket_and_rest) = BASE.split_once("[[piston.pocket]]").unwrap();
    let no_pocket = format!("{before}[cam.intake]{}", pocket_and_rest.split_once("[cam.intake]").unwrap().1);
    let change = "format = 1\nname = \"Swap\"\n[change.piston.pocket.in]\nx = \"1 mm\"\n";
    let problems = read_candidate(&no_pocket, change, &mut |_| Err("none".into())).expect_err("no pocket");
    let first = &problems.list()[0];
    assert_eq!(
        (first.line, first.column, first.found.as_str()),
        (3, 23, "no pocket is named \"in\""),
        "{problems}"
    );
    check_wrong(
        "[[cylinder]]\nnumber = 4\n[cylinder.block]\nbore = \"80 mm\"\n",
        &[(File::Candidate, 4, 10, "cylinder 4", "a number from 1 to 3", None)],
    );
    check_wrong(
        "[change.head]\nchamber_diameter = \"35 mm\"\n",
        &[(File::Base, 16, 17, "valve in of 38.00 mm", "a valve that fits its chamber of 35.00 mm", None)],
    );
}
