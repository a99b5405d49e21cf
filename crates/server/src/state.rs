//! What all requests share: the shop file, builds that were read already, jobs, and who may come in.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use shop::{Shop, ShopError};
use tokio::sync::{Semaphore, watch};

use crate::failure::Failure;
use crate::guard::Guard;
use crate::jobs::Jobs;
use crate::payoff_job::Marched;
use crate::subject::Subjects;

/// Shared by all requests.
pub struct Bench {
    writer: Mutex<Shop>,
    /// Reads while the other connection writes, so that a slider does not wait for a disk.
    reader: Mutex<Shop>,
    /// Builds that were read.
    pub subjects: Subjects,
    /// Long work.
    pub jobs: Jobs,
    /// Payoffs that were marched.
    pub marched: Marched,
    /// Who may come in.
    pub guard: Guard,
    /// As many dear answers at once as there are processors.
    processors: Semaphore,
    /// True once the server is to stop.
    pub stopping: watch::Receiver<bool>,
    /// Stands for this program in the digests of answers: another program may answer otherwise.
    pub program: [u8; 32],
}

/// As handlers get it.
pub type Shared = axum::extract::State<Arc<Bench>>;

impl Bench {
    /// Everything over one shop file.
    pub fn new(shop: Shop, guard: Guard, stopping: watch::Receiver<bool>) -> Result<Self, ShopError> {
        let n_processors = std::thread::available_parallelism().map_or(1, usize::from);
        Ok(Self {
            reader: Mutex::new(shop.reader()?),
            writer: Mutex::new(shop),
            subjects: Subjects::default(),
            jobs: Jobs::default(),
            marched: Marched::default(),
            guard,
            processors: Semaphore::new(n_processors),
            stopping,
            program: program(),
        })
    }

    /// The connection that reads. A panic while it was held leaves a connection whose transaction was rolled back.
    pub fn reader(&self) -> MutexGuard<'_, Shop> {
        self.reader.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The connection that writes.
    pub fn writer(&self) -> MutexGuard<'_, Shop> {
        self.writer.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Runs something that reads or writes the disk, away from the threads that answer requests.
pub async fn on_disk<T: Send + 'static>(
    bench: &Arc<Bench>,
    act: impl FnOnce(&Bench) -> Result<T, Failure> + Send + 'static,
) -> Result<T, Failure> {
    let bench = Arc::clone(bench);
    let done = tokio::task::spawn_blocking(move || act(&bench)).await;
    done.unwrap_or_else(|_| {
        Err(Failure::internal("the answer could not be worked out; this is a fault of the program"))
    })
}

/// Runs something that takes a processor for a while; others wait their turn.
pub async fn on_processor<T: Send + 'static>(
    bench: &Arc<Bench>,
    act: impl FnOnce(&Bench) -> Result<T, Failure> + Send + 'static,
) -> Result<T, Failure> {
    let turn = bench.processors.acquire().await;
    let done = on_disk(bench, act).await;
    drop(turn);
    done
}

/// The digest of what this program is: its version, and when and how large its file was made.
fn program() -> [u8; 32] {
    let file = std::env::current_exe().and_then(std::fs::metadata).ok();
    let made = file.as_ref().and_then(|file| file.modified().ok()).map(|made| format!("{made:?}"));
    let length = file.map_or(0, |file| file.len());
    shop::digest(&[
        env!("CARGO_PKG_VERSION").as_bytes(),
        made.unwrap_or_default().as_bytes(),
        &length.to_le_bytes(),
    ])
}
