//! Listening, until somebody stops it.

use std::future::Future;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use shop::{Shop, ShopError};
use tokio::net::TcpListener;
use tokio::sync::watch;

use crate::example::fill_example;
use crate::guard::{Guard, pairing_code};
use crate::router::router;
use crate::state::Bench;

/// How to serve.
#[derive(Clone, Debug)]
pub struct Options {
    /// The shop file; a new one is filled with examples.
    pub shop: PathBuf,
    /// Where to listen; `None` for the usual port or, where that is taken, any; 0 for any.
    pub port: Option<u16>,
    /// Whether other devices of the network may be paired.
    pub lan: bool,
}

/// The port that is tried first.
pub const USUAL_PORT: u16 = 8787;

/// After being told to stop, open requests have this long to end.
const LAST_WORDS: Duration = Duration::from_secs(5);

/// Why it cannot serve.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The shop file.
    #[error(transparent)]
    Shop(#[from] ShopError),
    /// The port.
    #[error("port {port} cannot be used: {reason}; is a bench running already? Name another with --port")]
    Port {
        /// Which.
        port: u16,
        /// Why.
        reason: String,
    },
    /// No random numbers for a pairing code.
    #[error("no pairing code can be made: {0}")]
    Code(String),
    /// Serving ended in some other way.
    #[error("the bench stopped: {0}")]
    Stopped(String),
}

/// A bench that listens and is about to answer.
pub struct Bound {
    listener: TcpListener,
    bench: Arc<Bench>,
    stop: watch::Sender<bool>,
    /// Where it listens.
    pub address: SocketAddr,
    /// The address to open in a browser of this machine.
    pub url: String,
    /// The address for other devices, and the code they are asked for.
    pub lan: Option<(String, String)>,
    /// Whether the shop was just made and filled with examples.
    pub is_new: bool,
}

/// Opens the shop and the port.
pub async fn bind(options: &Options) -> Result<Bound, ServeError> {
    let is_new = !options.shop.exists();
    let mut shop = Shop::open(&options.shop)?;
    if is_new {
        fill_example(&mut shop)?;
    }
    let ip: IpAddr = if options.lan { Ipv4Addr::UNSPECIFIED.into() } else { Ipv4Addr::LOCALHOST.into() };
    let listener = listen(ip, options.port).await?;
    let address = listener.local_addr().map_err(|error| ServeError::Stopped(error.to_string()))?;
    let code =
        if options.lan { Some(pairing_code().map_err(|e| ServeError::Code(e.to_string()))?) } else { None };
    let (stop, stopping) = watch::channel(false);
    let port = address.port();
    let guard = Guard::new(port, code.clone());
    let bench = Arc::new(Bench::new(shop, guard, stopping)?);
    let own = own_address().unwrap_or(Ipv4Addr::LOCALHOST.into());
    Ok(Bound {
        listener,
        bench,
        stop,
        address,
        url: format!("http://127.0.0.1:{port}"),
        lan: code.map(|code| (format!("http://{own}:{port}"), code)),
        is_new,
    })
}

async fn listen(ip: IpAddr, port: Option<u16>) -> Result<TcpListener, ServeError> {
    let wanted = port.unwrap_or(USUAL_PORT);
    let failed = |error: std::io::Error| ServeError::Port { port: wanted, reason: error.to_string() };
    match TcpListener::bind((ip, wanted)).await {
        Ok(listener) => Ok(listener),
        Err(_) if port.is_none() => TcpListener::bind((ip, 0)).await.map_err(failed),
        Err(error) => Err(failed(error)),
    }
}

/// The address this machine has toward other networks. Nothing is sent: a datagram socket only looks up the way to an address
/// that is set aside for documentation (RFC 5737).
fn own_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    socket.local_addr().ok().map(|address| address.ip())
}

impl Bound {
    /// Answers until `stopped` comes true; then lets open requests end, cancels jobs and closes the shop.
    pub async fn serve(self, stopped: impl Future<Output = ()> + Send + 'static) -> Result<(), ServeError> {
        let Self { listener, bench, stop, .. } = self;
        let app = router(Arc::clone(&bench)).into_make_service_with_connect_info::<SocketAddr>();
        let mut stopping = bench.stopping.clone();
        let graceful = async move {
            stopped.await;
            bench.jobs.cancel_all();
            stop.send_replace(true);
        };
        let serving = axum::serve(listener, app).with_graceful_shutdown(graceful);
        let enough = async {
            // The sender lives as long as the server, so this only ends when it was told to stop.
            let _ = stopping.wait_for(|stopping| *stopping).await;
            tokio::time::sleep(LAST_WORDS).await;
        };
        tokio::select! {
            served = serving => served.map_err(|error| ServeError::Stopped(error.to_string())),
            () = enough => Ok(()),
        }
    }
}
