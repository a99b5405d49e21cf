//! Sheets with something wrong in cam, train or springs: each message says line, column, what was found and what was
//! expected.

use sheet::read_build;
use wrong::{Message, check_in};

mod wrong;

/// A sheet with full valve gear; the cases below change a line of it.
const GEAR: &str = r#"format = 1
name = "Test single"
[engine]
cylinders = 1
[block]
bore = "82 mm"
stroke = "76 mm"
[head]
chamber_volume = "42 cc"
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
lobe_lift = "7 mm"
centreline = "108 deg"
[[cam.intake.duration]]
at = "0.050 in"
lasts = "228 deg"
[cam.exhaust]
valve_lift = "10 mm"
[train.intake]
follower = "flat"
ratio = "1.5"
lash_cold = "0.2 mm"
[spring.intake]
installed_height = "41 mm"
seat_load = "300 N"
rate = "30 N/mm"
"#;

/// Puts `to` in the place of `from` in the sheet with valve gear and compares all messages.
fn check_gear(from: &str, to: &str, expected: &[Message]) {
    check_in(GEAR, from, to, expected);
}

#[test]
fn exact_lobes_that_say_too_little() {
    assert!(read_build(GEAR).is_ok());
    check_gear(
        "lobe_lift = \"7 mm\"\n",
        "",
        &[(22, 1, "no lobe_lift", "lobe_lift = \"7.05 mm ± 0.03\", or a table of lifts", None)],
    );
    check_gear(
        "centreline = \"108 deg\"\n",
        "",
        &[(22, 1, "no centreline", "centreline = \"108 deg\", events, or lobe_separation in [cam]", None)],
    );
    check_gear(
        "[[cam.intake.duration]]\nat = \"0.050 in\"\nlasts = \"228 deg\"\n",
        "",
        &[(
            22,
            1,
            "no duration",
            "[[cam.intake.duration]] with at and lasts, [cam.intake.events], or a table of lifts",
            None,
        )],
    );
    check_gear(
        "lasts = \"228 deg\"\n",
        "",
        &[(25, 1, "no lasts", "lasts = \"228 deg ± 1\", or its halves opening and closing", None)],
    );
    check_gear("at = \"0.050 in\"\n", "", &[(25, 1, "no at", "at = \"0.050 in\", the stated lift", None)]);
    check_gear(
        "[train.intake]\nfollower = \"flat\"\nratio = \"1.5\"\nlash_cold = \"0.2 mm\"\n",
        "",
        &[(
            22,
            1,
            "no [train.intake]",
            "[train.intake] with follower and ratio, what carries the lobe's lift to the valve",
            None,
        )],
    );
}

#[test]
fn exact_lobes_that_say_too_much() {
    check_gear(
        "lasts = \"228 deg\"",
        "lasts = \"228 deg\"\nopening = \"112 deg\"",
        &[(25, 1, "both lasts and its two halves", "one of the two", None)],
    );
    let rows = "rows = [[-80, 0], [-60, 0.04], [-50, 0.35], [-40, 1.6], [-30, 3.4], [-20, 5.2], [-10, 6.4], [0, 6.8], \
                [10, 6.4], [20, 5.2], [30, 3.4], [40, 1.6], [50, 0.35], [60, 0.04], [80, 0]]";
    let table = format!("[cam.intake.table]\nangles = \"cam\"\nunit = \"mm\"\n{rows}\n");
    check_gear(
        "[cam.exhaust]",
        &format!("{table}[cam.exhaust]"),
        &[(28, 1, "both table and lobe_lift", "one of the two", None)],
    );
    let card = "lobe_lift = \"7 mm\"\ncentreline = \"108 deg\"\n[[cam.intake.duration]]\nat = \"0.050 in\"\nlasts = \"228 deg\"\n";
    let only_table = |table: &str| format!("centreline = \"108 deg\"\n{table}");
    check_gear(
        card,
        &only_table(&table.replace("[0, 6.8]", "[0, \"6.8\"]")),
        &[(27, 93, "the row [0, \"6.8\"]", "two finite numbers [angle, lift]", None)],
    );
    check_gear(
        card,
        &only_table("[cam.intake.table]\nangles = \"cam\"\nunit = \"mm\"\nrows = [[0, 6.8], [10, 3]]\n"),
        &[(27, 8, "2 rows", "12 to 3000 rows", None)],
    );
    check_gear(
        card,
        &only_table(&table.replace("angles = \"cam\"", "angles = \"crenk\"")),
        &[(
            25,
            10,
            "the text \"crenk\"",
            "one of \"cam\", \"crank\"",
            Some("the nearest valid word is crank"),
        )],
    );
}

#[test]
fn exact_trains_and_springs() {
    check_gear(
        "follower = \"flat\"\n",
        "",
        &[(
            30,
            1,
            "no follower",
            "follower = \"flat\", what rides on the lobe: flat (a flat tappet or bucket), roller (on a tappet that moves \
             straight), finger (a rocker or finger on the lobe itself)",
            None,
        )],
    );
    check_gear("\"1.5\"", "\"15\"", &[(32, 9, "\"15\"", "a ratio above 0.2 and below 10", None)]);
    check_gear(
        "lash_cold = \"0.2 mm\"",
        "lash_cold = \"0.2 mm\"\npreload = \"0.7 mm\"",
        &[(
            34,
            11,
            "both lash_cold and preload",
            "lash of a solid train or preload of a hydraulic one",
            None,
        )],
    );
    check_gear(
        "lash_cold",
        "slot_lift",
        &[
            (
                30,
                1,
                "no slot_gap_seated",
                "slot_gap_seated = \"2.0 mm\", least gap between rocker slot and stud with the valve seated",
                None,
            ),
            (
                30,
                1,
                "no slot_gap_lifted",
                "slot_gap_lifted = \"1.2 mm\", that gap with the valve at slot_lift",
                None,
            ),
        ],
    );
    check_gear(
        "\"30 N/mm\"",
        "\"30 N\"",
        &[(
            37,
            12,
            "the unit N of a force",
            "a spring rate (N/mm, lbf/in, kgf/mm)",
            Some("for example \"32 N/mm\""),
        )],
    );
    check_gear(
        "seat_load = \"300 N\"\nrate = \"30 N/mm\"\n",
        "[[spring.intake.load]]\nheight = \"41 mm\"\nload = \"300 N\"\n",
        &[(36, 1, "1 load", "two or more, or seat_load and rate", None)],
    );
    check_gear(
        "seat_load = \"300 N\"\nrate = \"30 N/mm\"\n",
        "",
        &[(34, 1, "no seat_load", "seat_load and rate, or two or more [[spring.intake.load]]", None)],
    );
    check_gear(
        "rate = \"30 N/mm\"\n",
        "rate = \"30 N/mm\"\nwire_diameter = \"4 mm\"\nmean_diameter = \"30 mm\"\n",
        &[(
            34,
            1,
            "no active_coils",
            "active_coils = \"5.5\", coils that work: all but the closed end coils",
            None,
        )],
    );
    check_gear(
        "installed_height",
        "instaled_height",
        &[
            (
                34,
                1,
                "no installed_height",
                "installed_height = \"41.0 mm ± 0.2\", height of the spring with the valve seated",
                None,
            ),
            (
                35,
                1,
                "the unknown key \"instaled_height\"",
                "one of installed_height, seat_load, rate, coil_bind_height, wire_diameter, mean_diameter, active_coils, \
                 mass, retainer_to_seal, load, inner",
                Some("the nearest valid key is installed_height"),
            ),
        ],
    );
}

/// A dome is smaller at its top than at its foot, and all three of its readings belong to it.
#[test]
fn exact_domes() {
    check_gear(
        "[cam.intake]\n",
        "[piston.dome]\nbase_diameter = \"70 mm\"\ntop_diameter = \"72 mm\"\nheight = \"3 mm\"\n[cam.intake]\n",
        &[(
            24,
            16,
            "a plateau that is not smaller than its base",
            "top_diameter less than base_diameter",
            None,
        )],
    );
    check_gear(
        "[cam.intake]\n",
        "[piston.dome]\nbase_diameter = \"70 mm\"\ntop_diameter = \"60 mm\"\n[cam.intake]\n",
        &[(
            22,
            1,
            "no height",
            "height = \"4.0 mm\", height of the dome's plateau over the crown's flat",
            None,
        )],
    );
}
