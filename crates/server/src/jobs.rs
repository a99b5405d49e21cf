//! `/api/jobs`: work that takes long. A job belongs to the server, not to the page that asked: its progress is sent as events
//! to whoever looks, a reloaded page finds it again, and anybody may cancel it.

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::pin::Pin;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll};

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::sse::{Event, KeepAlive, Sse};
use serde::Serialize;
use tokio::sync::{Semaphore, watch};
use tokio_stream::wrappers::WatchStream;
use tokio_stream::{Stream, StreamExt as _};
use utoipa::ToSchema;

use crate::answer::Kept;
use crate::extract::{Body, InPath};
use crate::failure::Failure;
use crate::job_kinds::{Done, JobKind};
use crate::state::{Bench, Shared, on_disk};

/// All jobs since the server started, up to [`MOST_KEPT`].
pub struct Jobs {
    all: Mutex<BTreeMap<u64, Arc<Job>>>,
    next: AtomicU64,
    /// One at a time, so that sliders keep a processor.
    turn: Arc<Semaphore>,
}

/// Finished jobs are forgotten beyond so many.
const MOST_KEPT: usize = 50;

/// Waiting and running jobs together; more are refused.
const MOST_UNDER_WAY: usize = 8;

/// One job.
pub struct Job {
    id: u64,
    kind: JobKind,
    state: watch::Sender<JobState>,
    cancelled: AtomicBool,
    result: Mutex<Option<String>>,
}

/// How a job stands.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct JobState {
    state: Phase,
    /// Share of the work that is done, from 0 to 1.
    progress: f64,
    /// What it is doing, or why it failed.
    message: String,
}

/// Phases of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Phase {
    /// Its turn has not come.
    Waiting,
    /// It is being worked on.
    Running,
    /// There is a result.
    Done,
    /// Somebody cancelled it.
    Cancelled,
    /// It cannot be done; the message says why.
    Failed,
}

/// A job for the screen.
#[derive(Serialize, ToSchema)]
pub struct JobWire {
    id: u64,
    kind: JobKind,
    #[serde(flatten)]
    state: JobState,
}

/// What a job in progress reports to, and asks whether to go on.
pub struct Watch<'a> {
    job: &'a Job,
}

impl Default for Jobs {
    fn default() -> Self {
        Self { all: Mutex::default(), next: AtomicU64::new(1), turn: Arc::new(Semaphore::new(1)) }
    }
}

impl Phase {
    fn is_over(self) -> bool {
        matches!(self, Self::Done | Self::Cancelled | Self::Failed)
    }
}

impl Watch<'_> {
    /// Says how far the work is; false when it is to stop.
    pub fn go_on(&self, progress: f64, message: &str) -> bool {
        self.job.say(Phase::Running, progress, message);
        !self.job.cancelled.load(Ordering::SeqCst)
    }
}

impl Job {
    /// Progress only grows, and what is over stays over.
    fn say(&self, state: Phase, progress: f64, message: &str) {
        self.state.send_if_modified(|known| {
            if known.state.is_over() {
                return false;
            }
            known.state = state;
            known.progress = known.progress.max(progress.clamp(0.0, 1.0));
            message.clone_into(&mut known.message);
            true
        });
    }

    fn wire(&self) -> JobWire {
        JobWire { id: self.id, kind: self.kind.clone(), state: self.state.borrow().clone() }
    }

    fn is_over(&self) -> bool {
        self.state.borrow().state.is_over()
    }
}

impl Jobs {
    fn add(&self, kind: JobKind) -> Result<Arc<Job>, Failure> {
        let mut all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
        if all.values().filter(|job| !job.is_over()).count() >= MOST_UNDER_WAY {
            let what = format!("{MOST_UNDER_WAY} jobs are under way already: wait for one, or cancel one");
            return Err(Failure::new(StatusCode::TOO_MANY_REQUESTS, what));
        }
        while all.len() >= MOST_KEPT {
            let Some(oldest) = all.values().find(|job| job.is_over()).map(|job| job.id) else { break };
            all.remove(&oldest);
        }
        let waiting = JobState { state: Phase::Waiting, progress: 0.0, message: "waiting".to_owned() };
        let job = Arc::new(Job {
            id: self.next.fetch_add(1, Ordering::SeqCst),
            kind,
            state: watch::Sender::new(waiting),
            cancelled: AtomicBool::new(false),
            result: Mutex::new(None),
        });
        all.insert(job.id, Arc::clone(&job));
        Ok(job)
    }

    fn get(&self, id: u64) -> Result<Arc<Job>, Failure> {
        let all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
        let known = all.get(&id).cloned();
        known.ok_or_else(|| Failure::new(StatusCode::NOT_FOUND, format!("no job number {id}")))
    }

    /// Asks every job to stop.
    pub fn cancel_all(&self) {
        let all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
        all.values().for_each(|job| job.cancelled.store(true, Ordering::SeqCst));
    }
}

/// All jobs since the server started, oldest first.
#[utoipa::path(get, path = "/api/jobs", tag = "jobs", responses((status = 200, body = Vec<JobWire>)))]
pub async fn list(State(bench): Shared) -> Json<Vec<JobWire>> {
    let all = bench.jobs.all.lock().unwrap_or_else(PoisonError::into_inner);
    Json(all.values().map(|job| job.wire()).collect())
}

/// Starts a job.
#[utoipa::path(post, path = "/api/jobs", tag = "jobs", request_body = JobKind, responses((status = 202, body = JobWire)))]
pub async fn start(
    State(bench): Shared,
    Body(kind): Body<JobKind>,
) -> Result<(StatusCode, Json<JobWire>), Failure> {
    kind.is_sensible()?;
    // A sheet that cannot be read is said at once, not after waiting for a turn.
    let (build, swap) = kind.subject();
    on_disk(&bench, move |bench| bench.subjects.get(&bench.reader(), build, swap)).await?;
    let job = bench.jobs.add(kind)?;
    let wire = job.wire();
    tokio::spawn(work(Arc::clone(&bench), job));
    Ok((StatusCode::ACCEPTED, Json(wire)))
}

async fn work(bench: Arc<Bench>, job: Arc<Job>) {
    let turn = Arc::clone(&bench.jobs.turn).acquire_owned().await;
    let worked = Arc::clone(&job);
    let done = on_disk(&bench, move |bench| {
        let watch = Watch { job: &worked };
        if !watch.go_on(0.0, "reading the sheets") {
            return Ok(Done::Stopped);
        }
        worked.kind.work(bench, &watch)
    })
    .await;
    drop(turn);
    match done {
        Ok(Done::Result(text)) => {
            *job.result.lock().unwrap_or_else(PoisonError::into_inner) = Some(text);
            job.say(Phase::Done, 1.0, "done");
        }
        Ok(Done::Stopped) => job.say(Phase::Cancelled, 0.0, "cancelled"),
        Err(failure) => job.say(Phase::Failed, 0.0, failure.what()),
    }
}

/// How a job stands.
#[utoipa::path(get, path = "/api/jobs/{id}", tag = "jobs", params(("id" = u64, Path)), responses((status = 200, body = JobWire)))]
pub async fn get(State(bench): Shared, InPath(id): InPath<u64>) -> Result<Json<JobWire>, Failure> {
    Ok(Json(bench.jobs.get(id)?.wire()))
}

/// Cancels a job; nothing happens to one that is over.
#[utoipa::path(delete, path = "/api/jobs/{id}", tag = "jobs", params(("id" = u64, Path)), responses((status = 200, body = JobWire)))]
pub async fn cancel(State(bench): Shared, InPath(id): InPath<u64>) -> Result<Json<JobWire>, Failure> {
    let job = bench.jobs.get(id)?;
    job.cancelled.store(true, Ordering::SeqCst);
    if job.state.borrow().state == Phase::Waiting {
        job.say(Phase::Cancelled, 0.0, "cancelled");
    }
    Ok(Json(job.wire()))
}

/// What came of a job: an answer in the form its kind has.
#[utoipa::path(get, path = "/api/jobs/{id}/result", tag = "jobs", params(("id" = u64, Path)),
    responses((status = 200, body = crate::job_kinds::JobResult), (status = 409, body = Failure, description = "There is none yet, or will be none")))]
pub async fn result(State(bench): Shared, InPath(id): InPath<u64>) -> Result<Kept, Failure> {
    let job = bench.jobs.get(id)?;
    let result = job.result.lock().unwrap_or_else(PoisonError::into_inner).clone();
    let state = job.state.borrow().clone();
    match result {
        Some(text) => Ok(Kept::new(text)),
        None => Err(Failure::new(StatusCode::CONFLICT, format!("job {id} has no result: {}", state.message))),
    }
}

/// The state of a job now and every time it changes, as server-sent events named `state` that hold a job; ends when it is over.
#[utoipa::path(get, path = "/api/jobs/{id}/events", tag = "jobs", params(("id" = u64, Path)),
    responses((status = 200, content_type = "text/event-stream", body = String)))]
pub async fn events(
    State(bench): Shared,
    InPath(id): InPath<u64>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Failure> {
    let job = bench.jobs.get(id)?;
    let states = WatchStream::new(job.state.subscribe()).map(Some);
    // A stopping server ends the stream, so that nobody waits for it.
    let stopping = WatchStream::new(bench.stopping.clone()).filter(|stopping| *stopping).map(|_| None);
    let until_over = UntilOver { states: states.merge(stopping), over: false };
    let stream = until_over.map(move |_| {
        let event = Event::default().event("state").json_data(job.wire());
        Ok(event.unwrap_or_else(|error| Event::default().comment(error.to_string())))
    });
    Ok(Sse::new(stream).keep_alive(KeepAlive::default()))
}

/// States up to the one with which the job is over, that one among them; `None` in place of a state ends it too.
struct UntilOver<S> {
    states: S,
    over: bool,
}

impl<S: Stream<Item = Option<JobState>> + Unpin> Stream for UntilOver<S> {
    type Item = JobState;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<JobState>> {
        if self.over {
            return Poll::Ready(None);
        }
        let next = Pin::new(&mut self.states).poll_next(context).map(Option::flatten);
        if let Poll::Ready(state) = &next {
            self.over = state.as_ref().is_none_or(|state| state.state.is_over());
        }
        next
    }
}
