//! `headroom bench`: the whole job in the browser.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context as _, Result};
use clap::Args;
use server::{Bound, Options};

use super::output::print;
use super::shelf::usual_shop;
use crate::exit::Exit;

/// Which shop, and how to serve it.
#[derive(Args, Debug)]
pub struct BenchArgs {
    /// The shop file; a new one is made and filled with examples. Where none is named, yours
    shop: Option<PathBuf>,
    /// Where to listen; 0 for any free port [default: 8787, or any when that is taken]
    #[arg(long, value_name = "N")]
    port: Option<u16>,
    /// Do not open the browser
    #[arg(long)]
    no_open: bool,
    /// Let other devices on this network in that know the pairing code it prints
    #[arg(long)]
    lan: bool,
}

/// Serves until it is stopped.
pub fn run(args: &BenchArgs) -> Result<Exit> {
    let shop = args.shop.clone().map_or_else(usual_shop, Ok)?;
    let options = Options { shop, port: args.port, lan: args.lan };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .context("no threads to serve with")?;
    runtime.block_on(async {
        let bound = server::bind(&options).await?;
        print(&greeting(&bound, &options.shop));
        if !args.no_open {
            open(&bound.url);
        }
        bound.serve(told_to_stop()).await?;
        anyhow::Ok(())
    })?;
    // A long computation that nobody waits for any more does not hold the program.
    runtime.shutdown_background();
    print("The bench is closed; everything is kept.\n");
    Ok(Exit::Clear)
}

fn greeting(bound: &Bound, shop: &Path) -> String {
    let filled = if bound.is_new { ", new and filled with invented engines to look at" } else { "" };
    let mut out = format!("The bench is open at {}\n  shop: {}{filled}\n", bound.url, shop.display());
    if let Some((url, code)) = &bound.lan {
        let (first, last) = code.split_at(code.len() / 2);
        out.push_str(&format!(
            "  other devices on this network: {url}\n  pairing code they are asked for: {first} {last}\n  \
             The connection is not encrypted: use it only on a network you trust.\n"
        ));
    }
    out.push_str("  Ctrl-C closes it.\n");
    out
}

/// Opens a browser the way the system does; a machine without one is no error, the address was printed.
fn open(url: &str) {
    let opener = if cfg!(target_os = "macos") {
        "open"
    } else if cfg!(target_os = "windows") {
        "explorer"
    } else {
        "xdg-open"
    };
    let _ = Command::new(opener)
        .arg(url)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
}

/// Ends when somebody presses Ctrl-C or the system asks the program to end.
async fn told_to_stop() {
    let interrupted = async {
        // Where signals cannot be heard the bench runs until it is killed, which loses nothing either.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    let terminated = async {
        match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
            Ok(mut signal) => {
                signal.recv().await;
            }
            Err(_) => std::future::pending::<()>().await,
        }
    };
    #[cfg(not(unix))]
    let terminated = std::future::pending::<()>();
    tokio::select! {
        () = interrupted => {}
        () = terminated => {}
    }
}
