//! The whole demo shelf, staged and by running everything: what pruning saves, whether the front is the same, what a
//! combination costs.
//!
//! By hand, some twenty minutes: `cargo bench -p headroom --bench search`, or `-- 2000` for the first 2,000 combinations.

#![expect(clippy::print_stdout, reason = "a bench reports")]

use std::time::{Duration, Instant};

use cycle::fidelity::Fidelity;
use headroom::search::front::front;
use headroom::search::run::{CHUNK, run_numbers};
use headroom::search::{Question, Row, run_range};

fn demo(name: &str) -> Result<Vec<u8>, String> {
    let path = format!("{}/../../demos/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read(path).map_err(|error| error.to_string())
}

fn timed(what: impl FnOnce() -> Vec<Row>) -> (Vec<Row>, Duration) {
    let start = Instant::now();
    (what(), start.elapsed())
}

fn everything(question: &Question, n: u64) -> Vec<Row> {
    let blocks = (0..n).step_by(CHUNK as usize);
    let run = |from: u64| {
        let indices: Vec<u64> = (from..(from + CHUNK).min(n)).collect();
        run_numbers(question, &indices, Fidelity::Screen, &|row| row.compression.is_some())
    };
    blocks.flat_map(run).collect()
}

fn main() {
    let plan = demo("kestrel.plan.toml").expect("the demo is there");
    let plan = sheet::read_plan_bytes(&plan, &mut demo).expect("the demo reads");
    let question = Question::new(plan).expect("the demo can be searched");
    let n = std::env::args().filter_map(|arg| arg.parse().ok()).next().unwrap_or(question.n());
    let points = question.speeds_rpm.len();
    let [staged, all] = [timed(|| run_range(&question, 0..n)), timed(|| everything(&question, n))];
    for (name, (rows, took)) in [("staged", &staged), ("everything", &all)] {
        let run = rows.iter().filter(|row| row.gives.is_some()).count();
        let seconds = took.as_secs_f64();
        println!(
            "{name}: {n} combinations at {points} speeds, {run} run, {seconds:.0} s, {:.1} ms a point run",
            1e3 * seconds / (run * points) as f64
        );
    }
    let indices = |rows: &[Row]| -> Vec<u64> {
        front(rows, &question.plan.objectives).iter().map(|row| row.index).collect()
    };
    let [staged, all] = [indices(&staged.0), indices(&all.0)];
    println!("front: {} combinations, the same: {}", all.len(), staged == all);
}
