//! Payoffs of small engines: shares that add up, intervals that hold what they say, the same bits at any number of threads.

use std::sync::Mutex;

use headroom::payoff::{PayoffError, payoff, payoff_watched};
use headroom::payoff_curves::gain_at;
use headroom::payoff_doubt::Doubt;
use headroom::payoff_words::{Worth, next_rows, sentences, waterfall};
use headroom::pull::Fidelity;
use headroom::{CheckOptions, PayoffAnswer, PayoffOptions, Status, check, payoff_svg};
use parts::Build;
use sheet::Candidate;
use units::UnitSystem;

const KESTREL: &str = include_str!("../../../demos/kestrel.build.toml");

/// More compression, a port and flow of another size, on the single that is cheapest to march.
const PORTED: &str = r#"
format = 1
name = "Kestrel single, ported"

[change.head]
chamber_volume = "45.0 cc ± 0.3"

[change.port.intake]
volume = "160 cc ± 1.5"

[replace.flow.intake]
test_pressure = "28 inH2O ± 0.1"
lift_unit = "mm"
flow_unit = "cfm"
tolerance = "2 %"
rows = [[2.0, 67], [4.0, 130], [6.0, 178], [8.0, 211], [10.0, 230], [12.0, 237]]

[payoff]
repeatability = "0.5 %"

[[payoff.group]]
name = "the ports as a whole"
changes = ["port", "valves"]
"#;

fn pair(swap: &str) -> (Build, Candidate) {
    let base = sheet::read_build(KESTREL).unwrap_or_else(|problems| panic!("{problems}")).build;
    let candidate = sheet::read_candidate(KESTREL, swap, &mut |name| Err(format!("no {name}")));
    (base, candidate.unwrap_or_else(|problems| panic!("{problems}")))
}

fn answer(swap: &str, options: &PayoffOptions) -> PayoffAnswer {
    let (base, candidate) = pair(swap);
    let fit = check(&candidate.build, &CheckOptions { n_samples: 1 });
    payoff(&base, &candidate, &fit, options).expect("both run")
}

fn quick() -> PayoffOptions {
    PayoffOptions { n_points: 4, fidelity: Some(Fidelity::Screen), ..PayoffOptions::default() }
}

#[test]
fn exact_shares_add_up_to_the_whole_gain() {
    let answer = answer(PORTED, &quick());
    let sum: f64 = answer.shares.iter().map(|share| share.torque_n_m).sum();
    let whole = answer.means[1].torque_n_m - answer.means[0].torque_n_m;
    assert!((sum - whole).abs() < 1e-9, "{sum} {whole}");
    let power: f64 = answer.shares.iter().map(|share| share.power_w).sum();
    assert!((power - (answer.means[1].power_w - answer.means[0].power_w)).abs() < 1e-6);
    // Two of the three changes stand in one group; what changes nothing in the running engine has no share.
    let names: Vec<&str> = answer.shares.iter().map(|share| share.group.name.as_str()).collect();
    assert_eq!(names.len(), 2, "{names:?}");
    assert!(names.contains(&"the ports as a whole") && names.contains(&"chamber volume"), "{names:?}");
    assert_eq!(answer.chances.repeatability, 0.005);
    // More compression gives torque.
    let chamber =
        answer.shares.iter().find(|share| share.group.name == "chamber volume").expect("it is there");
    assert!(chamber.gain > 0.0, "{chamber:?}");
    assert_eq!(waterfall(&answer, UnitSystem::Metric).len(), 4);
    assert!(payoff_svg::svg(&answer, UnitSystem::Metric).contains("the ports as a whole"));
}

/// Two engines that are the same but for a reading that no torque depends on: nothing gained, nothing doubted of the model.
#[test]
fn exact_a_change_that_does_nothing_gets_nothing() {
    let swap = "format = 1\nname = \"turned a little\"\n[change.gasket]\nopening_x = \"0.2 mm ± 0.1\"\n";
    let answer = answer(swap, &quick());
    assert_eq!(answer.gain, 0.0);
    assert!(answer.shares.is_empty(), "{:?}", answer.shares);
    assert_eq!(answer.chances.from_model, 0.0);
    assert_eq!(Worth::of(&answer), Worth::NoMatter);
    let said = sentences(&answer, Status::Clear, UnitSystem::Metric);
    assert!(said[0].contains("no difference worth the work"), "{}", said[0]);
}

/// 200 engines drawn from the stated tolerances and marched: the 90 % interval that follows from moving one reading at a time
/// holds 85 to 95 % of them, and its width is that of the sampled gains within an eighth.
#[test]
fn converges_the_interval_holds_what_it_says() {
    let answer = answer(PORTED, &PayoffOptions { n_samples: 200, n_points: 3, ..quick() });
    let sampled = answer.sampled.as_ref().expect("they were asked for");
    assert_eq!((sampled.gains.len(), sampled.failed), (200, 0));
    let square = |doubt: &Doubt| doubt.on_gain * doubt.on_gain;
    let sd = answer.doubts.iter().map(square).sum::<f64>().sqrt();
    const SDS_IN_90_PERCENT: f64 = 1.644_853_626_951_472;
    let held = |gain: &&f64| (**gain - answer.gain).abs() <= SDS_IN_90_PERCENT * sd;
    let share = sampled.gains.iter().filter(held).count() as f64 / 200.0;
    assert!((0.85..=0.95).contains(&share), "{share} of the truths lie in the interval");
    let ratio = sd / sampled.sd();
    assert!((ratio - 1.0).abs() < 0.125, "width {ratio} of the sampled");
    // The shares of the doubt are of one variance.
    let whole: f64 = answer.doubts.iter().map(|doubt| doubt.share).sum();
    assert!((whole - 1.0).abs() < 1e-12, "{whole}");
}

#[test]
fn exact_the_same_bits_at_any_number_of_threads() {
    let with = |n| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(n).build().expect("threads");
        let options = PayoffOptions { n_points: 2, ..quick() };
        pool.install(|| answer(PORTED, &options))
    };
    let (one, three) = (with(1), with(3));
    assert_eq!(one.gain.to_bits(), three.gain.to_bits());
    assert_eq!(one.doubts, three.doubts);
    assert_eq!(one.shares, three.shares);
}

/// Progress only grows and ends at the whole; once it is said to stop, no more is marched.
#[test]
fn exact_progress_is_told_and_the_work_ends_when_told() {
    let (base, candidate) = pair(PORTED);
    let fit = check(&candidate.build, &CheckOptions { n_samples: 1 });
    let options = PayoffOptions { n_points: 2, ..quick() };
    let told = Mutex::new(Vec::new());
    let watched = |most: usize| {
        told.lock().expect("no test panics with it").clear();
        payoff_watched(&base, &candidate, &fit, &options, &|progress| {
            let mut told = told.lock().expect("no test panics with it");
            told.push(progress);
            told.len() < most
        })
    };
    let answer = watched(usize::MAX).expect("both run");
    let whole = told.lock().expect("no test panics with it").clone();
    assert!(whole.windows(2).all(|pair| pair[0].share <= pair[1].share), "{whole:?}");
    assert!((whole.last().expect("there is work").share - 1.0).abs() < 1e-9, "{:?}", whole.last());
    assert!(whole.iter().all(|one| one.n_done <= one.n_points));
    assert!(whole[0].words().ends_with("engine speeds"), "{}", whole[0].words());
    assert_eq!(watched(3).expect_err("it was to stop"), PayoffError::Stopped);
    let after = told.lock().expect("no test panics with it").len();
    assert!(after < whole.len(), "{after} of {}", whole.len());

    // Before a dyno that tells less, the same gain is less likely to show; everything else stays.
    let coarse = answer.judged_by(&fit, 0.05);
    assert_eq!(coarse.gain.to_bits(), answer.gain.to_bits());
    assert_eq!(coarse.chances.half_width.to_bits(), answer.chances.half_width.to_bits());
    assert!(coarse.chances.shows_better < answer.chances.shows_better);
    assert_eq!(answer.judged_by(&fit, answer.chances.repeatability).chances, answer.chances);
}

/// A chamber known to 3 cc is what to measure next, said in the units of whoever asks.
#[test]
fn exact_what_to_measure_next_is_said_in_any_units() {
    let swap = PORTED.replace("45.0 cc ± 0.3", "45.0 cc ± 3");
    let answer = answer(&swap, &PayoffOptions { n_points: 2, ..quick() });
    let chamber = answer.next.iter().find(|next| next.path == "head.chamber_volume").expect("it leads");
    let [metric, inch] = [UnitSystem::Metric, UnitSystem::Inch].map(|system| chamber.now(system));
    assert!(metric.starts_with("45") && metric.contains(" cc"), "{metric}");
    assert!(inch.starts_with("2.7") && inch.contains(" in3"), "{inch}");
    let rows = next_rows(&answer.next, UnitSystem::Metric);
    assert!(rows.iter().any(|row| row[1].contains(&chamber.then(UnitSystem::Metric))), "{rows:?}");
}

/// The doubt of the band is about that of its speeds: less where they err independently, no more than that of the worst.
#[test]
fn exact_curves_are_as_unsure_as_the_band() {
    let answer = answer(PORTED, &quick());
    let [from, to] = answer.band_rpm;
    let sds: Vec<f64> = answer.curves.iter().map(|doubt| doubt.gain_sd).collect();
    let of_band = answer.chances.from_readings / units::reading::SDS_IN_TOLERANCE;
    let least = sds.iter().copied().fold(f64::INFINITY, f64::min);
    let most = sds.iter().copied().fold(0.0, f64::max);
    assert!(0.4 * least < of_band && of_band < 1.2 * most, "{of_band} beside {sds:?}");
    assert!(answer.curves.iter().all(|doubt| from <= doubt.rpm && doubt.rpm <= to));
    assert!(answer.curves.iter().all(|doubt| doubt.torque_sd_n_m.iter().all(|sd| *sd > 0.0)));
    let (gain, sd) = gain_at(&answer, from, [100.0, 104.0]);
    assert!((gain - 0.04).abs() < 1e-12 && sd > sds[0]);
}

#[test]
fn another_number_of_cylinders_is_told() {
    let (base, mut candidate) = pair(PORTED);
    let again = candidate.build.cylinders[0].clone();
    candidate.build.cylinders.push(again);
    let fit = check(&base, &CheckOptions { n_samples: 1 });
    let told = payoff(&base, &candidate, &fit, &quick()).expect_err("one against two");
    assert_eq!(told, PayoffError::Cylinders { base: 1, candidate: 2 });
}
