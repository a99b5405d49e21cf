//! A-B-A tests: against statsmodels and SciPy (`checks/pulls_aba`), coverage of the interval, and what has to be said with them.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use pulls::column_kind::ColumnKind;
use pulls::compare::Drift;
use pulls::detectable::chance_to_show;
use pulls::pull::{Origin, OtherColumn};
use pulls::{
    CompareError, CompareFinding, CompareOptions, Comparison, EngineKind, Group, Processing, Pull, Rows,
    Sweep, WeatherReadings, When, compare,
};
use serde_json::Value;

/// A pull of level torque, so that its mean over any band is that torque.
fn level(name: &str, group: Group, minute: usize, torque_nm: f64) -> Pull {
    let speeds: Vec<f64> = (0..21).map(|idx| 2500.0 + 200.0 * f64::from(idx)).collect();
    let rows = Rows::new(speeds, vec![torque_nm; 21], None, Vec::new()).unwrap();
    Pull {
        name: name.to_owned(),
        group: Some(group),
        when: When::parse(&format!("2025-05-03 {:02}:{:02}", 8 + minute / 60, minute % 60)),
        instrument: None,
        at_wheels: false,
        engine: EngineKind::Spark,
        weather: WeatherReadings::default(),
        sweep: Sweep::Stepped,
        processing: Processing::default(),
        rows,
        origin: Origin::default(),
        assumed: Vec::new(),
        remarks: Vec::new(),
    }
}

fn test(groups: &str, minutes: &[usize], means: &[f64]) -> Vec<Pull> {
    let group = |letter| match letter {
        'A' => Group::A,
        'B' => Group::B,
        _ => Group::A2,
    };
    let parts = groups.chars().zip(minutes).zip(means).enumerate();
    parts
        .map(|(idx, ((letter, minute), mean))| {
            level(&format!("{letter}{idx}"), group(letter), *minute, *mean)
        })
        .collect()
}

fn as_measured() -> CompareOptions {
    CompareOptions { standard: None, band_rpm: Some((3000.0, 6000.0)), ..CompareOptions::default() }
}

fn judged(pulls: &[Pull]) -> Comparison {
    compare(pulls, &as_measured()).unwrap()
}

#[test]
fn val_statsmodels_six_tests() {
    let cases: Vec<Value> =
        serde_json::from_str(include_str!("../../../checks/pulls_aba/cases.json")).unwrap();
    assert_eq!(cases.len(), 6);
    for case in &cases {
        let list = |key: &str| -> Vec<f64> {
            case[key].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
        };
        let minutes: Vec<usize> = list("minutes").iter().map(|minute| *minute as usize).collect();
        let comparison = judged(&test(case["groups"].as_str().unwrap(), &minutes, &list("means")));
        let got = comparison.difference.as_ref().unwrap();
        let (low, high) = got.interval_percent.unwrap();
        let check = |key: &str, got: f64, tolerance: f64| {
            let expected = case[key].as_f64().unwrap();
            assert!(
                (got - expected).abs() < tolerance * expected.abs().max(1.0),
                "{key}: {got}, {expected}: {case}"
            );
        };
        check("log_ratio", got.log_ratio, 1e-9);
        check("standard_error", got.standard_error.unwrap(), 1e-9);
        check("p_value", got.p_value.unwrap(), 1e-9);
        check("percent", got.percent, 1e-9);
        check("low", low, 1e-9);
        check("high", high, 1e-9);
        check("scatter_percent", got.scatter_percent.unwrap(), 1e-9);
        check("could_show_percent", got.could_show_percent.unwrap(), 1e-7);
        assert_eq!(got.degrees_of_freedom as u64, case["degrees_of_freedom"].as_u64().unwrap());
        match got.drift {
            Drift::Fitted { percent, .. } => check("drift_percent", percent, 1e-9),
            Drift::NotSeparable { .. } => assert!(case["drift_percent"].is_null()),
        }
        for (pull, expected) in comparison.pulls.iter().zip(list("studentised")) {
            assert!((pull.studentised.unwrap() - expected).abs() < 1e-9 * expected.abs().max(1.0), "{case}");
        }
    }
}

/// Uniform numbers from 0 to 1: splitmix64 of Steele, Lea & Flood (2014), OOPSLA, fig. 16.
struct Random(u64);

impl Random {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Box-Muller.
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }
}

/// Shares of 2,000 simulated A-B-A tests of 3 + 3 + 3 pulls with 0.5 % scatter whose interval holds the truth, and that show
/// a difference at all. The base drifts by -0.8 % over the test, the part gives `truth_percent`.
fn simulated(truth_percent: f64, seed: u64) -> (f64, f64) {
    const N: usize = 2000;
    let mut random = Random(seed);
    let minutes = [0, 6, 12, 60, 66, 72, 120, 126, 132];
    let (mut held, mut shown) = (0, 0);
    for _ in 0..N {
        let means: Vec<f64> = minutes
            .iter()
            .enumerate()
            .map(|(idx, minute)| {
                let drift = 1.0 - 0.008 * *minute as f64 / 132.0;
                let part = if (3..6).contains(&idx) { 1.0 + truth_percent / 100.0 } else { 1.0 };
                240.0 * drift * part * (1.0 + 0.005 * random.normal())
            })
            .collect();
        // Level torque needs no finer steps.
        let coarse = CompareOptions { step_rpm: 1000.0, ..as_measured() };
        let difference = compare(&test("AAABBB222", &minutes, &means), &coarse).unwrap().difference.unwrap();
        let (low, high) = difference.interval_percent.unwrap();
        held += usize::from(low <= truth_percent && truth_percent <= high);
        shown += usize::from(difference.is_shown());
    }
    (held as f64 / N as f64, shown as f64 / N as f64)
}

/// The 95 % interval holds the truth in 94 to 96 % of 2,000 tests (one standard deviation of that share is 0.5 %).
#[test]
fn converges_interval_holds_what_it_says() {
    for (truth, seed) in [(0.0, 11), (2.0, 12), (-1.3, 13)] {
        let (held, _) = simulated(truth, seed);
        assert!((0.94..=0.96).contains(&held), "{truth} %: held in {:.2} % of tests", 100.0 * held);
    }
}

/// A difference of the size the test could have shown with a chance of 80 % is shown in 80 % of tests, to three standard
/// deviations of that share (0.9 % each).
#[test]
fn converges_smallest_difference_is_shown_as_often_as_said() {
    let exact = [1.0f64, 3.0, 6.0].map(|shift| chance_to_show(shift, 6, 0.95));
    assert!(exact.windows(2).all(|pair| pair[0] < pair[1]));
    // Standard error of c for 3 + 3 + 3 pulls of 0.5 %, B in the middle: 0.5 % sqrt(1/3 + 1/6).
    let error = 0.5 * (0.5f64).sqrt();
    let truth = error * pulls::detectable::smallest_shift(6, 0.95, 0.8);
    let (_, shown) = simulated(truth, 14);
    assert!((shown - 0.8).abs() < 0.027, "{truth} %: shown in {:.1} % of tests", 100.0 * shown);
}

#[test]
fn exact_drift_is_taken_out() {
    let minutes = [0, 10, 20, 60, 70, 80, 120, 130, 140];
    let means: Vec<f64> = minutes
        .iter()
        .enumerate()
        .map(|(idx, minute)| {
            200.0 * (-1e-4 * *minute as f64).exp() * if (3..6).contains(&idx) { 1.021 } else { 1.0 }
        })
        .collect();
    let got = judged(&test("AAABBB222", &minutes, &means)).difference.unwrap();
    assert!((got.percent - 2.1).abs() < 1e-9, "{got:?}");
    let Drift::Fitted { percent, .. } = got.drift else { panic!("{got:?}") };
    assert!((percent - 100.0 * (-0.014f64).exp_m1()).abs() < 1e-9);
}

fn says(comparison: &Comparison, wanted: impl Fn(&CompareFinding) -> bool) -> bool {
    comparison.findings.iter().any(wanted)
}

#[test]
fn exact_a_base_not_run_again_is_said() {
    let got = judged(&test("AAABBB", &[0, 6, 12, 60, 66, 72], &[240.0, 241.0, 240.4, 245.0, 244.1, 245.3]));
    let Some(CompareFinding::NotReturned { explained_by_time, half_width_with_drift_percent }) =
        got.findings.first()
    else {
        panic!("{:?}", got.findings)
    };
    let own = got.difference.as_ref().unwrap().half_width_percent().unwrap();
    assert!(*explained_by_time > 0.95 && half_width_with_drift_percent.unwrap() > 3.0 * own, "{got:?}");
}

#[test]
fn exact_an_outlier_is_named_and_kept() {
    let means = [240.0, 240.3, 239.8, 244.9, 245.1, 236.0, 240.2, 239.9, 240.1];
    let pulls = test("AAABBB222", &[0, 6, 12, 60, 66, 72, 120, 126, 132], &means);
    let got = judged(&pulls);
    assert!(says(&got, |finding| matches!(finding, CompareFinding::Outlier { pull, .. } if pull == "B5")));
    assert_eq!(got.pulls.len(), 9);
    assert_eq!(got.difference.unwrap().degrees_of_freedom, 6);
}

#[test]
fn exact_temperatures_that_do_not_match_are_said() {
    let minutes = [0, 6, 12, 60, 66, 72, 120, 126, 132];
    let mut pulls =
        test("AAABBB222", &minutes, &[240.0, 240.3, 239.8, 244.9, 245.1, 244.6, 240.2, 239.9, 240.1]);
    for pull in &mut pulls {
        let coolant = if pull.group == Some(Group::B) { 92.0 } else { 80.0 };
        let column =
            |kind, value| OtherColumn { kind, name: String::new(), values: vec![value; pull.rows.len()] };
        let others = vec![column(ColumnKind::Coolant, coolant), column(ColumnKind::Oil, 98.0)];
        pull.rows =
            Rows::new(pull.rows.speed_rpm().to_vec(), pull.rows.torque_nm().to_vec(), None, others).unwrap();
    }
    let got = judged(&pulls);
    assert!(says(&got, |finding| matches!(
        finding,
        CompareFinding::TemperatureMismatch { kind: ColumnKind::Coolant, base_c, changed_c, .. }
            if *base_c == 80.0 && *changed_c == 92.0
    )));
    assert!(
        says(&got, |finding| *finding == CompareFinding::TemperatureUnknown { kind: ColumnKind::InletAir })
    );
    assert!(!says(&got, |finding| *finding == CompareFinding::TemperatureUnknown { kind: ColumnKind::Oil }));
}

#[test]
fn exact_one_pull_each_gives_a_difference_without_an_interval() {
    let got = judged(&test("AB", &[0, 30], &[240.0, 245.0])).difference.unwrap();
    assert!((got.percent - 100.0 * 5.0 / 240.0).abs() < 1e-9);
    assert_eq!(got.interval_percent, None);
}

#[test]
fn exact_one_group_is_repeatability_alone() {
    let got = judged(&test("AAA", &[0, 6, 12], &[240.0, 241.2, 238.8]));
    assert_eq!(got.difference, None);
    assert!((got.groups[0].deviation_percent.unwrap() - 0.5).abs() < 1e-9, "{:?}", got.groups);
    assert!((got.groups[0].spread_percent.unwrap() - 1.0).abs() < 1e-9);
}

#[test]
fn exact_what_cannot_be_compared_is_refused() {
    let pulls = test("AB", &[0, 30], &[240.0, 245.0]);
    let with = |band| compare(&pulls, &CompareOptions { band_rpm: Some(band), ..as_measured() }).unwrap_err();
    assert!(matches!(with((3000.0, 7000.0)), CompareError::NotCovered { .. }));
    assert!(matches!(with((6000.0, 3000.0)), CompareError::Band { .. }));
    let needs_weather = compare(&pulls, &CompareOptions { band_rpm: None, ..CompareOptions::default() });
    assert!(matches!(needs_weather, Err(CompareError::WeatherMissing { .. })));
    assert_eq!(compare(&[], &as_measured()), Err(CompareError::None));
    let mut twice = pulls.clone();
    twice[1].name = twice[0].name.clone();
    assert!(matches!(compare(&twice, &as_measured()), Err(CompareError::Twice { .. })));
}
