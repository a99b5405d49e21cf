//! Writes builds one after another into a shop file and says each as soon as it is kept. The tests kill it, fill its disk and
//! take its right to write away.

use std::io::Write as _;
use std::path::Path;
use std::process::ExitCode;

use shop::{Drawer, NewEntry, Shop, ShopError};

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().collect();
    let [_, path, n_writes, n_bytes] = args.as_slice() else { return ExitCode::from(2) };
    let (Ok(n_writes), Ok(n_bytes)) = (n_writes.parse(), n_bytes.parse()) else { return ExitCode::from(2) };
    match write(Path::new(path), n_writes, n_bytes) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            let _ = writeln!(std::io::stderr(), "{error}");
            ExitCode::FAILURE
        }
    }
}

fn write(path: &Path, n_writes: usize, n_bytes: usize) -> Result<(), ShopError> {
    let mut shop = Shop::open(path)?;
    for idx in 1..=n_writes {
        let (name, text) = (format!("build {idx}"), format!("{idx} ").repeat(n_bytes / 4));
        shop.add(Drawer::Build, &NewEntry { name: &name, text: &text, ..NewEntry::default() })?;
        // The reader may have gone away; that is no reason to stop writing.
        let _ = writeln!(std::io::stdout(), "{idx}");
    }
    Ok(())
}
