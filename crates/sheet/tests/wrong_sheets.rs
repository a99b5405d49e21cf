//! Sheets with something wrong in them: each message says line, column, what was found and what was expected.

use sheet::{MOST_BYTES, read_build, read_build_bytes, read_candidate};
use wrong::{Message, check_in, message};

mod wrong;

/// Reads well; the cases change a line of it.
const GOOD: &str = r#"format = 1
name = "Test twin"
[engine]
cylinders = 2
[block]
bore = "82 mm"
stroke = "76 mm"
[head]
chamber_volume = "42 cc"
chamber_diameter = "80 mm"
[[head.valve]]
name = "in"
duty = "intake"
head_diameter = "38 mm"
x = "19 mm"
y = "0 mm"
[[head.valve]]
name = "ex"
duty = "exhaust"
head_diameter = "34 mm"
x = "-20 mm"
y = "0 mm"
[cam.intake]
valve_lift = "10 mm"
[cam.exhaust]
valve_lift = "10 mm"
[[cylinder]]
number = 2
[cylinder.head.valve.ex]
x = "-19.8 mm"
"#;

const LENGTH: &str = "a length (mm, in, thou, cm, m)";
const BORE_RANGE: &str = "a length above 0.1 mm and below 10000 mm";
const SUCH_A_BORE: Option<&str> = Some("for example \"82.00 mm ± 0.01\"");

/// Puts `to` in the place of `from` and compares all messages.
fn check(from: &str, to: &str, expected: &[Message]) {
    check_in(GOOD, from, to, expected);
}

/// The bore is on line 6, its value begins in column 8.
fn check_bore(value: &str, expected: Message) {
    check("\"82 mm\"", value, &[expected]);
}

#[test]
fn exact_the_good_sheet_reads() {
    assert!(read_build(GOOD).is_ok());
}

#[test]
fn exact_format_and_name() {
    check("format = 1", "", &[(1, 1, "no format", "format = 1, number of this format, always 1", None)]);
    check("format = 1", "format = 2", &[(1, 10, "the number 2", "1", None)]);
    check("format = 1", "format = \"1\"", &[(1, 10, "the text \"1\"", "1", None)]);
    check("name = \"Test twin\"", "name = 5", &[(2, 8, "the number 5", "a text in quotes", None)]);
}

#[test]
fn exact_missing_parts_and_readings() {
    check(
        "[engine]\ncylinders = 2",
        "",
        &[(1, 1, "no [engine]", "[engine], how the cylinders are arranged", None)],
    );
    check(
        "[block]\nbore = \"82 mm\"\nstroke = \"76 mm\"\n",
        "",
        &[(1, 1, "no [block]", "[block], bore, crank throw and deck", None)],
    );
    check(
        "bore = \"82 mm\"\n",
        "",
        &[(5, 1, "no bore", "bore = \"82.00 mm ± 0.01\", diameter of the finished bore", None)],
    );
    check(
        "duty = \"exhaust\"\n",
        "",
        &[(17, 1, "no duty", "duty = \"exhaust\", what the valve lets through", None)],
    );
    check(
        "[cam.intake]\nvalve_lift = \"10 mm\"\n",
        "",
        &[(23, 2, "no [cam.intake]", "[cam.intake], the intake valves", None)],
    );
}

#[test]
fn exact_counts_out_of_range() {
    check("cylinders = 2", "cylinders = 0", &[(4, 13, "the number 0", "a whole number from 1 to 32", None)]);
    check(
        "cylinders = 2",
        "cylinders = 2\nbanks = 3",
        &[(5, 9, "3 rows", "at most 2, one cylinder each", None)],
    );
    check("number = 2", "number = 3", &[(28, 10, "cylinder 3", "a number from 1 to 2", None)]);
    check("number = 2", "", &[(27, 1, "no number", "number = 2, which cylinder, 1 nearest the front", None)]);
    check(
        "number = 2",
        "number = 2\n[[cylinder]]\nnumber = 2",
        &[(30, 10, "cylinder 2 a second time", "each cylinder once", None)],
    );
}

#[test]
fn exact_quantities_that_are_none() {
    check_bore("\"82 cc\"", (6, 12, "the unit cc of a volume", LENGTH, SUCH_A_BORE));
    check_bore("\"82 mn\"", (6, 12, "the unknown unit \"mn\"", LENGTH, Some("the nearest valid unit is mm")));
    check_bore("\"82\"", (6, 9, "82 without a unit", LENGTH, SUCH_A_BORE));
    let quoted = "a length (mm, in, thou, cm, m) in quotes";
    check_bore("82", (6, 8, "the number 82 without a unit", quoted, SUCH_A_BORE));
    check_bore("nan", (6, 8, "the number nan without a unit", quoted, SUCH_A_BORE));
    check_bore("\"NaN mm\"", (6, 9, "\"NaN mm\" in place of a number", LENGTH, SUCH_A_BORE));
    check_bore("\"82,5 mm\"", (6, 9, "\"82,5\" with a comma", "a decimal point", Some("write 82.5")));
    check_bore("\"\"", (6, 8, "an empty text", LENGTH, SUCH_A_BORE));
    check_bore(
        "\"82 mm, guessed\"",
        (6, 16, "\"guessed\" after the comma", "measured, catalogue or assumed", SUCH_A_BORE),
    );
    check_bore("\"82 mm ± -1\"", (6, 17, "the tolerance -1", "a tolerance of 0 or more", SUCH_A_BORE));
}

#[test]
fn exact_quantities_out_of_range() {
    check_bore("\"-82 mm\"", (6, 8, "\"-82 mm\"", BORE_RANGE, None));
    check_bore("\"1e308 mm\"", (6, 8, "\"1e308 mm\"", BORE_RANGE, None));
    check_bore("\"1e309 mm\"", (6, 9, "\"1e309\", too big for a number to hold", LENGTH, SUCH_A_BORE));
    check_bore("\"82 mm ± 1e308\"", (6, 8, "\"82 mm ± 1e308\"", "a tolerance below 10000 mm", None));
    check(
        "y = \"0 mm\"",
        "y = \"0 mm\"\ntilt_x = \"90 deg\"\nseat_angle = \"80 deg\"",
        &[
            (17, 10, "\"90 deg\"", "an angle above -60 deg and below 60 deg", None),
            (18, 14, "\"80 deg\"", "an angle above 15 deg and below 75 deg", None),
        ],
    );
}

#[test]
fn exact_keys() {
    let block = "one of bore, stroke, rod_length, pin_offset, chamfer_width, chamfer_depth, bore_spacing, deck_height, deck_thickness, relief, wall, hole";
    check(
        "bore =",
        "boer =",
        &[
            (5, 1, "no bore", "bore = \"82.00 mm ± 0.01\", diameter of the finished bore", None),
            (6, 1, "the unknown key \"boer\"", block, Some("the nearest valid key is bore")),
        ],
    );
    let sections = "one of format, name, note, engine, block, gasket, head, piston, cam, train, spring, port, flow, induction, exhaust, boost, fuel, spark, burning, walls, friction, weather, use, limits, cylinder";
    check(
        "[block]",
        "[blok]",
        &[
            (1, 1, "no [block]", "[block], bore, crank throw and deck", None),
            (5, 2, "the unknown key \"blok\"", sections, Some("the nearest valid key is block")),
        ],
    );
    check(
        "bore = \"82 mm\"",
        "bore = \"82 mm\"\nbore = \"83 mm\"",
        &[(7, 1, "`bore` a second time", "each key once in its table", None)],
    );
}

#[test]
fn exact_limits() {
    let checks = "one of valve_to_block, valve_to_gasket, valve_to_chamber, intake_to_piston, exhaust_to_piston, \
                 pocket_radial, valve_to_valve, piston_to_head, piston_edge, retainer_to_seal, coil_bind, rocker_slot, pushrod_hole, \
                 gasket_over_bore, gasket_over_chamber";
    check(
        "[engine]",
        "[limits]\nvalve_to_blok = \"1 mm\"\nvalve_to_gasket = \"1 mm ± 2\"\ngasket_over_bore = {source = \"x\"}\n[engine]",
        &[
            (
                4,
                1,
                "the unknown key \"valve_to_blok\"",
                checks,
                Some("the nearest valid key is valve_to_block"),
            ),
            (5, 19, "\"1 mm ± 2\"", "a length without tolerance or basis", None),
            (6, 20, "no least", "least = \"0.050 in\", a length", None),
        ],
    );
}

#[test]
fn exact_valves() {
    check(
        "head_diameter = \"38 mm\"",
        "head_diameter = \"81 mm\"",
        &[(14, 17, "valve in of 81.00 mm", "a valve that fits its chamber of 80.00 mm", None)],
    );
    check(
        "name = \"ex\"",
        "name = \"in\"",
        &[
            (18, 8, "a second one with name = \"in\"", "each name once", None),
            (29, 22, "no valve is named \"ex\"", "in", None),
        ],
    );
    check(
        "duty = \"exhaust\"",
        "duty = \"exaust\"",
        &[(
            19,
            8,
            "the text \"exaust\"",
            "one of \"intake\", \"exhaust\"",
            Some("the nearest valid word is exhaust"),
        )],
    );
    check(
        "[cylinder.head.valve.ex]",
        "[cylinder.head.valve.exh]",
        &[(29, 22, "no valve is named \"exh\"", "in, ex", Some("the nearest valid name is ex"))],
    );
    check(
        "[engine]",
        "[piston]\n[[piston.pocket]]\nvalve = \"inn\"\nx = \"0 mm\"\ny = \"0 mm\"\ndepth = \"1 mm\"\ndiameter = \"4 mm\"\n[engine]",
        &[(5, 9, "a pocket for \"inn\"", "in, ex", Some("the nearest valve is in"))],
    );
}

#[test]
fn exact_one_valve_or_six() {
    let expected = "2 to 5 valves, each in its [[head.valve]]";
    check(
        "[[head.valve]]\nname = \"in\"\nduty = \"intake\"\nhead_diameter = \"38 mm\"\nx = \"19 mm\"\ny = \"0 mm\"\n",
        "",
        &[(11, 1, "1 valve", expected, None)],
    );
    let more: String = ["a", "b", "c", "d"]
        .map(|name| {
            format!(
                "[[head.valve]]\nname = \"{name}\"\nduty = \"intake\"\nhead_diameter = \"9 mm\"\nx = \"1 mm\"\ny = \"1 mm\"\n"
            )
        })
        .concat();
    check("[cam.intake]", &format!("{more}[cam.intake]"), &[(11, 1, "6 valves", expected, None)]);
}

#[test]
fn exact_a_valve_larger_than_the_bore_is_no_mistake_of_the_sheet() {
    let text = GOOD.replace("\"38 mm\"", "\"90 mm\"").replace("chamber_diameter = \"80 mm\"", "");
    assert!(read_build(&text).is_ok());
}

#[test]
fn exact_outlines() {
    let outline = |to: &str, expected: &[Message]| check("chamber_diameter = \"80 mm\"", to, expected);
    outline(
        "chamber_diameter = \"80 mm\"\nchamber_outline = { unit = \"mm\", points = [[0,0],[40,0],[0,40]] }",
        &[(11, 1, "both chamber_diameter and chamber_outline", "one of the two", None)],
    );
    outline(
        "chamber_outline = { unit = \"mm\", points = [[0,0],[40,0]] }",
        &[(10, 43, "2 corners", "3 to 500 corners", None)],
    );
    outline(
        "chamber_outline = { unit = \"mm\", points = [[-40,-40],[40,40],[40,-40],[-40,40]] }",
        &[(
            10,
            62,
            "the side from corner 1 to 2 meets the side from corner 3 to 4",
            "corners in order round an edge that does not cross itself",
            None,
        )],
    );
    outline(
        "chamber_outline = { unit = \"mm\", points = [[-40,-40],[40,-40],[40,40],[-40,-40]] }",
        &[(
            10,
            44,
            "corners 4 and 1 in the same place",
            "each corner once; the last joins the first by itself",
            None,
        )],
    );
    outline(
        "chamber_outline = { unit = \"cc\", points = [[-40,-40],[40,-40],[40,nan]] }",
        &[
            (10, 28, "the text \"cc\"", "a unit of length (mm, in, thou, cm, m)", None),
            (10, 63, "the corner [40,nan]", "two finite numbers [x, y]", None),
        ],
    );
    outline(
        "chamber_outline = { points = [[-40,-40],[40,-40],[40]] }",
        &[
            (10, 19, "no unit", "unit = \"mm\", unit of the corners", None),
            (10, 50, "a corner of 1 number", "two finite numbers [x, y]", None),
        ],
    );
    outline(
        "chamber_outline = { unit = \"mm\", points = [[-16,-16],[16,-16],[16,16],[-16,16]] }",
        &[(
            14,
            17,
            "valve in of 38.00 mm",
            "a valve that fits its chamber, whose area is that of a circle of 36.11 mm",
            None,
        )],
    );
}

#[test]
fn exact_not_toml() {
    check("[engine]", "[engine", &[(3, 8, "nothing (unclosed table)", "`]`", None)]);
    check("[engine]", "not a sheet", &[(3, 5, "nothing (key with no value)", "`=`", None)]);
    check("\"82 mm\"", "\"82 mm", &[(6, 14, "nothing (invalid basic string)", "`\"`", None)]);
}

fn check_bytes(bytes: &[u8], expected: Message) {
    let problems = read_build_bytes(bytes).expect_err("no sheet");
    assert_eq!(problems.list().iter().map(message).collect::<Vec<_>>(), [expected]);
}

#[test]
fn exact_files_that_are_no_sheets() {
    let utf8 = Some("save the file again with the encoding UTF-8");
    let big = vec![b'#'; 50_000_000];
    check_bytes(&big, (1, 1, "50000000 bytes", "a sheet of at most 1000000 bytes", None));
    assert!(read_build_bytes(&big[..MOST_BYTES]).is_err_and(|problems| problems.list().len() > 1));
    check_bytes(
        b"\x7fELF\x02\x01\x01\x00\x00\x00",
        (1, 8, "a zero byte at byte 7, as in a binary file", "text in UTF-8", None),
    );
    let wide: Vec<u8> = GOOD.encode_utf16().flat_map(u16::to_le_bytes).collect();
    check_bytes(&wide, (1, 1, "text in UTF-16", "text in UTF-8", utf8));
    check_bytes(&[b"\xFF\xFE", &wide[..]].concat(), (1, 1, "text in UTF-16", "text in UTF-8", utf8));
    let latin = [b"format = 1\nbore = \"82 mm ", &[0xB1][..], b" 0.1\""].concat();
    check_bytes(&latin, (2, 15, "the byte 0xB1, which is ± in Latin-1", "text in UTF-8", utf8));
}

#[test]
fn exact_the_search_is_given_up_after_a_hundred_problems() {
    let numbered = |line: &dyn Fn(usize) -> String| (0..20_000).map(line).collect::<String>();
    for rubbish in [
        numbered(&|_| "a = 1\n".to_owned()),
        numbered(&|idx| format!("k{idx} = 1\n")),
        numbered(&|idx| format!("[[cylinder]]\nnumber = {}\n", idx + 40)),
        numbered(&|_| "[[head.valve]]\nx = 1\n".to_owned()),
    ] {
        let problems = read_build(&rubbish).expect_err("rubbish");
        assert!(problems.list().len() == 100 && problems.more(), "{}", problems.list().len());
        let swap = read_candidate(GOOD, &rubbish, &mut |_| Err("none".into())).expect_err("rubbish");
        assert!(swap.list().len() <= 100);
    }
}

#[test]
fn exact_a_byte_order_mark_is_no_mistake_and_moves_no_column() {
    assert!(read_build(&format!("\u{feff}{GOOD}")).is_ok());
    let problems =
        read_build(&format!("\u{feff}{}", GOOD.replace("format = 1", "format = 2"))).expect_err("format 2");
    assert_eq!((problems.list()[0].line, problems.list()[0].column), (1, 10));
}

#[test]
fn exact_the_rendered_message() {
    let problems = read_build(&GOOD.replace("bore = \"82", "bore = \"82.0 ± 1")).expect_err("no unit");
    assert_eq!(
        problems.render("twin.build.toml"),
        "\
twin.build.toml:6:9: block.bore
  |
6 | bore = \"82.0 ± 1 mm\"
  |         ^^^^
  found:    82.0 without a unit
  expected: a length (mm, in, thou, cm, m)
  help:     for example \"82.00 mm ± 0.01\"

"
    );
}
