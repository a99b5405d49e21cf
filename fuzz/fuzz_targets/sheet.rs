//! Whether any bytes make the sheet reader panic, report a place outside the text, or let through a number that is not
//! finite. Every text is tried as a build sheet, as a candidate for a demo and as the base of the demos' swaps.

#![no_main]

use libfuzzer_sys::fuzz_target;
use parts::Build;
use parts::readings::Visit;
use sheet::{Candidate, File, PartName, Problems, read_build_bytes, read_candidate_bytes};

const BASE: &[u8] = include_bytes!("../../demos/teal.build.toml");
const OTHER: &[u8] = include_bytes!("../../demos/heron.build.toml");
const SWAPS: [&[u8]; 3] = [
    include_bytes!("../../demos/heron-with-bittern-head.swap.toml"),
    include_bytes!("../../demos/kestrel-big-valves.swap.toml"),
    include_bytes!("../../demos/teal-skimmed.swap.toml"),
];

fuzz_target!(|bytes: &[u8]| {
    match read_build_bytes(bytes) {
        Ok(sheet) => {
            check_build(&sheet.build);
            for swap in SWAPS {
                check_candidate(read_candidate_bytes(bytes, swap, &mut |_| Err("none".into())), bytes, swap);
            }
        }
        Err(problems) => check_problems(&problems, &[bytes]),
    }
    check_candidate(read_candidate_bytes(BASE, bytes, &mut |_| Ok(OTHER.to_vec())), BASE, bytes);
});

fn check_candidate(read: Result<Candidate, Problems>, base: &[u8], candidate: &[u8]) {
    match read {
        Ok(candidate) => {
            check_build(&candidate.build);
            for part in PartName::ALL {
                if let Ok(build) = candidate.with_only(&[part]) {
                    check_build(&build);
                }
            }
        }
        Err(problems) => check_problems(&problems, &[base, candidate, OTHER]),
    }
}

fn check_build(build: &Build) {
    assert!(!build.cylinders.is_empty() && !build.name.is_empty());
    for cylinder in &build.cylinders {
        assert!((2..=5).contains(&cylinder.head.valves.len()));
        cylinder.clone().visit("", &mut |path, reading| {
            let tolerance_si = reading.tolerance_si;
            // Spring rates are the largest numbers of a sheet: some 1e5 N/m, refused above 1e9.
            assert!(reading.value_si.is_finite() && reading.value_si.abs() <= 1e9, "{path}");
            assert!(tolerance_si.is_finite() && 0.0 <= tolerance_si, "{path}");
        });
    }
}

fn check_problems(problems: &Problems, texts: &[&[u8]]) {
    assert!(!problems.is_empty());
    for problem in problems.list() {
        let bytes = match &problem.file {
            File::Base => texts[0],
            File::Candidate => texts[1],
            File::Other(_) => texts[2],
        };
        assert!(problem.line >= 1 && problem.column >= 1 && problem.span.start <= problem.span.end);
        assert!(problem.span.end <= bytes.len() + 1, "{problem:?}");
        assert!(!problem.found.is_empty() && !problem.expected.is_empty(), "{problem:?}");
        // The place is the same whether counted in bytes or in lines.
        if let Ok(text) = std::str::from_utf8(bytes) {
            let text = text.strip_prefix('\u{feff}').unwrap_or(text);
            let line = text.split('\n').nth(problem.line - 1).expect("the line exists");
            assert_eq!(line.trim_end_matches('\r'), problem.line_text.trim_end_matches('\r'));
            assert!(problem.column <= line.chars().count() + 1, "{problem:?}");
        }
    }
    assert!(problems.render("sheet").lines().count() >= 3);
}
