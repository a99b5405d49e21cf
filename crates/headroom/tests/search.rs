//! Searching a plan: rows do not depend on how they are asked for, the front is that of looking at everything, and what
//! was broken off goes on to the same end.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use cycle::fidelity::Fidelity;
use headroom::search::front::front;
use headroom::search::journal::{Journal, first_line};
use headroom::search::row::{header, line, parse};
use headroom::search::run::run_numbers;
use headroom::search::stages::{Progress, SearchError, Stage, Watch};
use headroom::search::{Question, Row, SearchOptions, run_range, search};

fn demo(name: &str) -> Result<Vec<u8>, String> {
    let path = format!("{}/../../demos/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read(path).map_err(|error| error.to_string())
}

fn question(text: &str) -> Question {
    let plan = sheet::read_plan_bytes(text.as_bytes(), &mut |name| demo(name));
    Question::new(plan.unwrap_or_else(|problems| panic!("{problems}"))).unwrap()
}

/// 48 combinations of which every kind of limit excludes some.
const SMALL: &str = r#"format = 1
name = "Kestrel, a corner of the shelf"
base = "kestrel.build.toml"
[band]
from = "5200 rpm"
split = "7000 rpm"
to = "8600 rpm"
points = 3
[must]
compression_least = "10.6"
compression_most = "12.6"
octane = "98"
budget = 1200
[[choice]]
name = "carburettor"
[[choice.option]]
name = "as raced"
[[choice.option]]
name = "short stub, \"bell\" mouth"
price = 40
[choice.option.change.induction]
runner_length = "130 mm"
[[choice]]
name = "head"
[[choice.option]]
name = "as raced"
[[choice.option]]
name = "big valves"
from = "kestrel-big-valves.swap.toml"
take = ["head", "train", "port", "flow"]
price = 950
[[choice]]
name = "piston"
[[choice.option]]
name = "as raced"
[[choice.option]]
name = "higher crown"
price = 290
[choice.option.change.piston]
crown_volume = "-6.0 cc ± 0.4"
[adjust.intake_advance]
from = "-6 deg"
to = "6 deg"
[adjust.skim]
from = "0 mm"
to = "0.4 mm"
step = "0.4 mm"
price = 80
"#;

#[test]
fn exact_the_shelf_of_the_demo_has_its_combinations() {
    let text = String::from_utf8(demo("kestrel.plan.toml").unwrap()).unwrap();
    let question = question(&text);
    assert_eq!(question.n(), 21_600);
    // Pipe and carburettor change nothing that fit depends on.
    assert_eq!(question.digits.len() - question.n_fit_digits, 2);
}

#[test]
fn exact_rows_are_the_same_in_any_partition_at_any_number_of_threads() {
    let question = question(SMALL);
    let n = question.n();
    assert_eq!(n, 48);
    let pool = |n: usize| rayon::ThreadPoolBuilder::new().num_threads(n).build().unwrap();
    let whole = pool(1).install(|| run_range(&question, 0..n));
    let pieces: Vec<Row> = pool(3).install(|| {
        [0..7, 7..8, 8..30, 30..n + 5].into_iter().flat_map(|range| run_range(&question, range)).collect()
    });
    assert_eq!(whole, pieces);
    // A row survives its line to the last bit.
    assert!(
        header(&question)
            .starts_with("index,choice.carburettor,choice.head,choice.piston,adjust.intake_advance_deg")
    );
    for row in &whole {
        assert_eq!(parse(&question, &line(&question, row)).as_ref(), Some(row), "{}", line(&question, row));
    }
    let run = whole.iter().filter(|row| row.gives.is_some()).count();
    assert!(0 < run && run < whole.len(), "{run} of {n} were run");
}

#[test]
fn exact_front_is_that_of_running_everything() {
    let question = question(SMALL);
    let staged = run_range(&question, 0..question.n());
    let all: Vec<u64> = (0..question.n()).collect();
    let brute = run_numbers(&question, &all, Fidelity::Screen, &|row| row.compression.is_some());
    let indices = |rows: &[Row]| -> Vec<u64> {
        front(rows, &question.plan.objectives).iter().map(|row| row.index).collect()
    };
    assert_eq!(indices(&staged), indices(&brute));
    assert!(!indices(&staged).is_empty());
    let n_run = |rows: &[Row]| rows.iter().filter(|row| row.gives.is_some()).count();
    assert!(n_run(&staged) < n_run(&brute), "nothing was pruned");
}

/// Keeps the journal in memory and ends the search after some blocks.
struct Memory {
    text: String,
    blocks_left: usize,
    stages: Vec<Stage>,
}

impl Watch for Memory {
    fn keep(&mut self, block: &str) -> Result<(), String> {
        self.text.push_str(block);
        self.blocks_left -= 1;
        Ok(())
    }

    fn go_on(&mut self, progress: &Progress) -> bool {
        assert!(progress.n_done <= progress.n_all && progress.n_known <= progress.n_done);
        self.stages.push(progress.stage);
        self.blocks_left > 0
    }
}

#[test]
fn exact_a_search_broken_off_anywhere_goes_on_to_the_same_answer() {
    let question = question(SMALL);
    let options = SearchOptions { most_normal: 12, n_sample: 4, n_refined: 1 };
    let run = |text: &str, blocks_left: usize| {
        let (mut journal, whole) = Journal::read(&question, text).unwrap();
        let begun = if whole == 0 { first_line(&question) } else { text[..whole].to_owned() };
        let mut watch = Memory { text: begun, blocks_left, stages: Vec::new() };
        let answer = search(&question, &options, &mut journal, &mut watch);
        (answer, watch)
    };
    let (answer, watch) = run("", usize::MAX);
    let answer = answer.unwrap();
    assert!(answer.named.is_some(), "{:?}", answer.excluded);
    assert!(watch.stages.contains(&Stage::Refine) && watch.stages.contains(&Stage::Sample));
    assert!(answer.recall.n_found <= answer.recall.n_true && answer.recall.n_true <= answer.recall.n_sample);
    let whole = watch.text;
    // One block at a time, with half of the next left behind by whoever was killed.
    let mut text = String::new();
    loop {
        let (again, watch) = run(&text, 1);
        text = watch.text;
        match again {
            Err(SearchError::Ended) => text.push_str("[screen 256]\nhalf a li"),
            Ok(again) => {
                assert_eq!(format!("{:?}", again.front), format!("{:?}", answer.front));
                assert_eq!(again.refined, answer.refined);
                assert_eq!(again.recall, answer.recall);
                break;
            }
            Err(other) => panic!("{other}"),
        }
    }
    assert_eq!(text, whole);
    // Another plan's journal is refused.
    let other = self::question(&SMALL.replace("budget = 1200", "budget = 1300"));
    assert!(Journal::read(&other, &whole).is_err());
}
