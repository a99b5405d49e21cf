//! The bench over a real socket: sheets, answers, jobs, and who is not let in.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::io::{Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use server::{Options, bind};
use tempfile::TempDir;
use tokio::sync::oneshot;

/// A running bench over a new shop of examples; it is told to stop when the test ends.
struct Running {
    address: SocketAddr,
    folder: TempDir,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<std::thread::JoinHandle<()>>,
}

struct Answer {
    status: u16,
    head: String,
    body: String,
}

impl Answer {
    fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|error| panic!("{error}: {}", self.body))
    }
}

fn running(lan: bool) -> Running {
    let folder = tempfile::tempdir().unwrap();
    let shop = folder.path().join("shop.headroom");
    let (said, heard) = std::sync::mpsc::channel();
    let (stop, stopped) = oneshot::channel::<()>();
    let thread = std::thread::spawn(move || {
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let bound = bind(&Options { shop, port: Some(0), lan }).await.unwrap();
            said.send(bound.address).unwrap();
            let stopped = async {
                let _ = stopped.await;
            };
            bound.serve(stopped).await.unwrap();
        });
        runtime.shutdown_timeout(Duration::from_secs(5));
    });
    let address = SocketAddr::from(([127, 0, 0, 1], heard.recv().unwrap().port()));
    Running { address, folder, stop: Some(stop), thread: Some(thread) }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.stop.take().map(|stop| stop.send(()));
        let _ = self.thread.take().map(std::thread::JoinHandle::join);
    }
}

impl Running {
    fn host(&self) -> String {
        format!("127.0.0.1:{}", self.address.port())
    }

    /// Sends a request with these headers besides its length, and reads until the server closes.
    fn send(&self, line: &str, headers: &str, body: &str) -> Answer {
        let mut stream = TcpStream::connect(self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
        let length = body.len();
        let head =
            format!("{line} HTTP/1.1\r\nConnection: close\r\nContent-Length: {length}\r\n{headers}\r\n");
        // A server that refuses a long body need not read it all.
        let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(body.as_bytes()));
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        let text = String::from_utf8(bytes).unwrap();
        let (head, rest) =
            text.split_once("\r\n\r\n").unwrap_or_else(|| panic!("no answer to {line}: {text:?}"));
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        let head = head.to_ascii_lowercase();
        let body =
            if head.contains("transfer-encoding: chunked") { unchunked(rest) } else { rest.to_owned() };
        Answer { status, head, body }
    }

    fn get(&self, path: &str) -> Answer {
        self.send(&format!("GET {path}"), &format!("Host: {}\r\n", self.host()), "")
    }

    fn call(&self, method: &str, path: &str, body: &Value) -> Answer {
        let headers = format!("Host: {}\r\nContent-Type: application/json\r\n", self.host());
        self.send(&format!("{method} {path}"), &headers, &body.to_string())
    }

    fn build(&self, name: &str) -> Value {
        let all = self.get("/api/builds").json();
        let found = all.as_array().unwrap().iter().find(|build| build["name"] == name).unwrap();
        self.get(&format!("/api/builds/{}", found["id"])).json()
    }
}

fn unchunked(mut rest: &str) -> String {
    let mut out = String::new();
    while let Some((length, after)) = rest.split_once("\r\n") {
        let length = usize::from_str_radix(length, 16).unwrap();
        out.push_str(&after[..length]);
        rest = after[length..].trim_start_matches("\r\n");
    }
    out
}

#[test]
fn exact_the_example_shop_answers() {
    let bench = running(false);
    let heron = bench.build("heron");
    let id = &heron["id"];
    let readings = heron["readings"].as_array().unwrap();
    let bore = readings.iter().find(|reading| reading["path"] == "block.bore").unwrap();
    assert_eq!(bore["kind"], "length");
    assert_eq!(bore["basis"], "measured");
    let swaps = bench.get("/api/swaps").json();
    let swap = swaps.as_array().unwrap().iter().find(|swap| swap["build"] == *id).unwrap();
    assert_eq!(swap["problems"], json!([]));
    let verdict = bench.get(&format!("/api/verdict?swap={}", swap["id"]));
    assert_eq!(verdict.status, 200, "{}", verdict.body);
    assert_eq!(verdict.json()["fit"]["status"], "hits");
    for question in ["check", "volumes", "slack", "lift", "relief", "scene"] {
        let asked = format!("/api/{question}?build={id}&swap={}", swap["id"]);
        let (first, again) = (bench.get(&asked), bench.get(&asked));
        assert_eq!(first.status, 200, "{question}: {}", first.body);
        assert!(first.body == again.body, "{question} is answered otherwise from what was kept");
    }
}

#[test]
fn exact_a_gap_follows_the_sliders() {
    let bench = running(false);
    let id = bench.build("heron")["id"].clone();
    let gap = |asked: Value| {
        let answer = bench.call("POST", "/api/gap", &asked);
        assert_eq!(answer.status, 200, "{}", answer.body);
        let all = answer.json()["gaps"].as_array().unwrap().clone();
        let block = |gap: &&Value| gap["check"] == "valve_to_block" && gap["valve"] == "intake";
        all.iter().find(block).unwrap()["gap_mm"].as_f64().unwrap()
    };
    let lifted = |mm: f64| json!({"build": id, "lifts": [{"valve": "intake", "mm": mm}]});
    let open = gap(lifted(8.0));
    let mut larger = lifted(8.0);
    larger["diameters"] = json!([{"valve": "intake", "mm": 60.0}]);
    assert!(gap(larger) < open, "a larger valve has less room");
    let mut pushed = lifted(8.0);
    pushed["head_shift_mm"] = json!([0.0, 0.5]);
    assert!((gap(pushed) - open).abs() <= 0.5 + 1e-3, "a gap moves no more than its parts");
    let followed = bench.call("POST", "/api/gap", &json!({"build": id, "first_contacts": true})).json();
    let n_valves = followed["valves"].as_array().unwrap().len();
    assert_eq!(followed["first_contact_lifts_mm"].as_array().unwrap().len(), n_valves);
    let nowhere = bench.call("POST", "/api/gap", &json!({"build": id, "cylinder": 60}));
    assert_eq!(nowhere.status, 422);
    assert!(nowhere.json()["what"].as_str().unwrap().contains("this engine has 6"), "{}", nowhere.body);
}

#[test]
fn exact_the_dye_map_has_the_worst_gaps_and_follows_hand_and_cut() {
    let bench = running(false);
    let id = bench.build("heron")["id"].clone();
    let swaps = bench.get("/api/swaps").json();
    let swap = swaps.as_array().unwrap().iter().find(|swap| swap["build"] == id).unwrap()["id"].clone();
    let dye = |more: Value| {
        let mut asked = json!({"build": id, "swap": swap});
        asked.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        let answer = bench.call("POST", "/api/dye", &asked);
        assert_eq!(answer.status, 200, "{}", answer.body);
        assert!(answer.body.len() < 300_000, "{} bytes are too many for a slider", answer.body.len());
        answer.json()
    };
    let least = |dye: &Value, on: &str| {
        let all = dye["surfaces"].as_array().unwrap();
        all.iter().find(|one| one["surface"] == on).unwrap()["least_gap_mm"].as_f64().unwrap()
    };
    let areas = |dye: &Value, band: &str| {
        let all = dye["surfaces"].as_array().unwrap().iter().filter(|one| one["surface"] != "crown");
        all.flat_map(|one| one["areas"].as_array().unwrap().clone()).filter(|one| one["band"] == band).count()
    };
    let before = dye(json!({}));
    assert_eq!(before["spots"][0]["status"], "hits");
    let worst = before["spots"][0]["gap_mm"].as_f64().unwrap();
    let on_block = least(&before, "wall").min(least(&before, "deck"));
    // Half the way to the next node of the grid.
    assert!((on_block - worst).abs() < 0.25, "{on_block} {worst}");
    assert!(areas(&before, "hits") > 0);
    let after = dye(json!({"cut": {}}));
    assert_eq!(areas(&after, "hits"), 0);
    assert!(least(&after, "wall") > on_block);
    let smaller = dye(json!({"diameters": [{"valve": "exhaust", "mm": 20.0}]}));
    assert!(least(&smaller, "wall") > on_block);
    let nowhere = bench.call("POST", "/api/dye", &json!({"build": id, "cylinder": 60}));
    assert_eq!(nowhere.status, 422);
    assert!(nowhere.json()["what"].as_str().unwrap().contains("this engine has 6"), "{}", nowhere.body);
}

/// The gap at the crank angle a check names is the gap the check found.
#[test]
fn exact_sliders_and_check_agree() {
    let bench = running(false);
    let id = bench.build("dunlin")["id"].clone();
    let check = bench.get(&format!("/api/check?build={id}")).json();
    let mut n_compared = 0;
    for finding in check["findings"].as_array().unwrap() {
        let (Some(crank), Some(found)) = (finding["crank_deg"].as_f64(), finding["gap_mm"].as_f64()) else {
            continue;
        };
        let asked = json!({"build": id, "crank_deg": crank, "cylinder": finding["cylinders"][0]});
        let now = bench.call("POST", "/api/gap", &asked).json();
        let same = |gap: &&Value| {
            gap["check"] == finding["check"]
                && (finding["valve"].is_null() || gap["valve"] == finding["valve"])
        };
        let Some(gap) = now["gaps"].as_array().unwrap().iter().find(same) else { continue };
        // The angle is given to a hundredth of a degree; at a minimum that changes nothing to speak of.
        let by_slider = gap["gap_mm"].as_f64().unwrap();
        assert!((by_slider - found).abs() < 2e-3, "{}: {by_slider} and {found}", finding["check"]);
        n_compared += 1;
    }
    assert!(n_compared >= 3, "{n_compared} gaps compared");
}

#[test]
fn exact_the_second_tab_is_told_and_undo_brings_back() {
    let bench = running(false);
    let heron = bench.build("heron");
    let path = format!("/api/builds/{}", heron["id"]);
    let put = |text: &str| {
        bench.call("PUT", &path, &json!({"name": "heron", "text": text, "revision": heron["revision"]}))
    };
    let mine = put("half entered");
    assert_eq!(mine.status, 200);
    assert_eq!(mine.json()["title"], Value::Null);
    assert_eq!(mine.json()["problems"][0]["line"], 1);
    let theirs = put("other");
    assert_eq!(theirs.status, 409);
    assert_eq!(theirs.json()["current"]["text"], "half entered");
    let unread = bench.get(&format!("/api/check?build={}", heron["id"]));
    assert_eq!(unread.status, 422);
    assert!(!unread.json()["problems"].as_array().unwrap().is_empty());
    let last = bench.get("/api/undo").json();
    let undone = bench.call("POST", "/api/undo", &json!({"change": last["change"]["id"]}));
    assert_eq!(undone.status, 200, "{}", undone.body);
    assert_eq!(bench.get(&path).json()["text"], heron["text"]);
}

#[test]
fn exact_strangers_are_not_let_in() {
    let bench = running(false);
    let asked = |headers: &str| bench.send("GET /api/builds", headers, "").status;
    let host = bench.host();
    assert_eq!(asked(&format!("Host: {host}\r\nOrigin: http://{host}\r\n")), 200);
    assert_eq!(asked("Host: bench.example\r\n"), 403);
    assert_eq!(asked("Host: 192.168.1.5:8787\r\n"), 403);
    assert_eq!(asked(&format!("Host: {host}\r\nOrigin: http://elsewhere.example\r\n")), 403);
    assert_eq!(asked(&format!("Host: {host}\r\nOrigin: null\r\n")), 403);
    assert_eq!(asked(&format!("Host: {host}\r\nSec-Fetch-Site: cross-site\r\n")), 403);
    // A form of another site cannot send JSON without asking first, and nobody answers that question.
    let form = bench.send("POST /api/builds", &format!("Host: {host}\r\nContent-Type: text/plain\r\n"), "{}");
    assert_eq!(form.status, 415);
    let head = bench.get("/").head;
    for header in [
        "content-security-policy: default-src 'self'",
        "x-content-type-options: nosniff",
        "x-frame-options: deny",
    ] {
        assert!(head.contains(header), "{header} is missing: {head}");
    }
}

#[test]
fn exact_no_path_reaches_the_files() {
    let bench = running(false);
    std::fs::write(bench.folder.path().join("secret.txt"), "hidden").unwrap();
    let paths = [
        "/../secret.txt",
        "/..%2f..%2fetc/passwd",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/etc/passwd.txt",
        "//etc/passwd.txt",
        "/assets/../../Cargo.toml",
        "/shop.headroom",
        "/..\\..\\secret.txt",
    ];
    for path in paths {
        let answer = bench.get(path);
        assert!(!answer.body.contains("hidden") && !answer.body.contains("root:"), "{path}");
        assert!(!answer.body.contains("SQLite") && !answer.body.contains("[workspace]"), "{path}");
    }
}

#[test]
fn exact_wrong_requests_are_told_what_is_wrong() {
    let bench = running(false);
    let status = |method: &str, path: &str, body: Value| {
        let answer = bench.call(method, path, &body);
        assert_eq!(answer.json()["status"], answer.status, "{}", answer.body);
        assert!(!answer.json()["what"].as_str().unwrap().is_empty());
        answer.status
    };
    assert_eq!(status("GET", "/api/builds/999", json!({})), 404);
    assert_eq!(status("GET", "/api/builds/heron", json!({})), 400);
    assert_eq!(status("GET", "/api/nothing", json!({})), 404);
    assert_eq!(status("PATCH", "/api/builds", json!({})), 405);
    assert_eq!(status("POST", "/api/builds", json!({"name": "x"})), 422);
    assert_eq!(status("POST", "/api/builds", json!({"name": "../x", "text": ""})), 422);
    assert_eq!(status("POST", "/api/builds", json!({"name": "Heron", "text": ""})), 409);
    assert_eq!(status("POST", "/api/gap", json!({"build": 1, "crank_deg": 1e300})), 422);
    let long = json!({"name": "x", "text": "x".repeat(7_000_000)});
    assert_eq!(status("POST", "/api/builds", long), 413);
    let long = json!({"name": "x", "text": "x".repeat(1_000_001)});
    assert_eq!(status("POST", "/api/builds", long), 422);
}

#[test]
fn exact_a_job_is_followed_and_gives_its_result() {
    let bench = running(false);
    let id = bench.build("dunlin")["id"].clone();
    let started =
        bench.call("POST", "/api/jobs", &json!({"job": "uncertainty", "build": id, "samples": 2000}));
    assert_eq!(started.status, 202, "{}", started.body);
    let path = format!("/api/jobs/{}", started.json()["id"]);
    // Ends by itself when the job does; a page that is reloaded in between asks again and gets the same.
    let events = bench.get(&format!("{path}/events"));
    assert!(events.head.contains("text/event-stream"), "{}", events.head);
    let last = events.body.lines().filter_map(|line| line.strip_prefix("data:")).next_back().unwrap();
    let last: Value = serde_json::from_str(last).unwrap();
    assert_eq!((&last["state"], &last["progress"]), (&json!("done"), &json!(1.0)));
    let again = bench.get(&format!("{path}/events"));
    assert_eq!(again.body.matches("event:").count(), 1, "{}", again.body);
    let result = bench.get(&format!("{path}/result")).json();
    assert_eq!(result["name"], bench.build("dunlin")["title"]);
    assert_eq!(bench.get("/api/jobs").json().as_array().unwrap().len(), 1);
}

#[test]
fn exact_a_job_is_cancelled() {
    let bench = running(false);
    let id = bench.build("heron")["id"].clone();
    let job = json!({"job": "uncertainty", "build": id, "samples": 65536});
    let started = bench.call("POST", "/api/jobs", &job).json();
    let path = format!("/api/jobs/{}", started["id"]);
    assert_eq!(bench.call("DELETE", &path, &json!({})).status, 200);
    let begun = Instant::now();
    let state = loop {
        let state = bench.get(&path).json()["state"].clone();
        if state != "running" && state != "waiting" {
            break state;
        }
        assert!(begun.elapsed() < Duration::from_secs(30), "still {state}");
        std::thread::sleep(Duration::from_millis(20));
    };
    assert_eq!(state, "cancelled");
    assert_eq!(bench.get(&format!("{path}/result")).status, 409);
}

impl Running {
    /// The build and the number of a swap on it.
    fn swap(&self, name: &str) -> (Value, Value) {
        let all = self.get("/api/swaps").json();
        let found = all.as_array().unwrap().iter().find(|swap| swap["name"] == name).unwrap();
        (found["build"].clone(), found["id"].clone())
    }

    /// The states that a job goes through, until it is over.
    fn followed(&self, job: &Value) -> Vec<Value> {
        let path = format!("/api/jobs/{}/events", job["id"]);
        let events = self.get(&path);
        let data = events.body.lines().filter_map(|line| line.strip_prefix("data:"));
        data.map(|text| serde_json::from_str(text).unwrap()).collect()
    }
}

/// The progress of a payoff is told, its result is there for whoever asks, and another dyno words the same march again.
#[test]
fn exact_a_payoff_is_followed_kept_and_worded_again() {
    let bench = running(false);
    let (build, swap) = bench.swap("kestrel-big-valves");
    let asked = json!({"job": "payoff", "build": build, "swap": swap, "fidelity": "screen"});
    let started = bench.call("POST", "/api/jobs", &asked);
    assert_eq!(started.status, 202, "{}", started.body);
    let states = bench.followed(&started.json());
    let shares: Vec<f64> = states.iter().map(|state| state["progress"].as_f64().unwrap()).collect();
    assert!(shares.windows(2).all(|pair| pair[0] <= pair[1]), "{shares:?}");
    assert!(shares.iter().filter(|share| 0.1 < **share && **share < 0.9).count() >= 3, "{shares:?}");
    assert!(states.iter().any(|state| state["message"].as_str().unwrap().contains("engine speeds")));
    assert_eq!(states.last().unwrap()["state"], "done");
    let result = bench.get(&format!("/api/jobs/{}/result", started.json()["id"])).json();
    let sum: f64 =
        result["shares"].as_array().unwrap().iter().map(|s| s["torque_n_m"].as_f64().unwrap()).sum();
    let mean = |of: &str| result[of]["mean_torque_n_m"].as_f64().unwrap();
    assert!((sum - (mean("candidate") - mean("base"))).abs() < 1e-9);
    assert_eq!(result["by_speed"].as_array().unwrap().len(), 10);

    let again = |with: &str, value: Value| {
        let mut asked = asked.clone();
        asked[with] = value;
        let job = bench.call("POST", "/api/jobs", &asked).json();
        // What is known already is not marched again: no engine speed is told.
        let marched = |state: &Value| state["message"].as_str().unwrap().contains("engine speeds");
        assert!(!bench.followed(&job).iter().any(marched));
        bench.get(&format!("/api/jobs/{}/result", job["id"])).json()
    };
    assert_eq!(again("units", json!("metric")), result);
    let coarse = again("repeatability_percent", json!(5.0));
    assert_eq!(coarse["gain"], result["gain"]);
    let shows = |result: &Value| result["chance_shows_better"].as_f64().unwrap();
    assert!(shows(&coarse) < shows(&result), "{} {}", shows(&coarse), shows(&result));
    assert!(again("units", json!("inch"))["verdict"].to_string().contains("lb"));
}

#[test]
fn exact_a_payoff_is_cancelled_and_refused() {
    let bench = running(false);
    let (build, swap) = bench.swap("heron-with-bittern-head");
    let asked = json!({"job": "payoff", "build": build, "swap": swap, "fidelity": "fine"});
    let started = bench.call("POST", "/api/jobs", &asked).json();
    let path = format!("/api/jobs/{}", started["id"]);
    assert_eq!(bench.call("DELETE", &path, &json!({})).status, 200);
    assert_eq!(bench.followed(&started).last().unwrap()["state"], "cancelled");
    assert_eq!(bench.get(&format!("{path}/result")).status, 409);
    for (with, value) in
        [("repeatability_percent", json!(0.0)), ("samples", json!(5000)), ("swap", Value::Null)]
    {
        let mut wrong = asked.clone();
        wrong[with] = value;
        assert_eq!(bench.call("POST", "/api/jobs", &wrong).status, 422, "{with}");
    }
}
