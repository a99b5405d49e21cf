//! `headroom shelf`: what lies in the shop file, into it and out of it again.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result, anyhow, bail};
use clap::{Args, Subcommand};
use serde::Serialize;
use shop::{Drawer, Entry, NewEntry, PART_KINDS, Shop, name_from_file};

use super::Format;
use super::output::{heading, print, print_json, table};
use crate::exit::Exit;

/// Which shop, and what to do with it.
#[derive(Args, Debug)]
pub struct ShelfArgs {
    /// The shop file; where none is named, yours
    #[arg(long, value_name = "FILE", global = true)]
    shop: Option<PathBuf>,
    /// How to answer
    #[arg(long, value_enum, default_value = "text", global = true)]
    format: Format,
    #[command(subcommand)]
    act: Act,
}

#[derive(Debug, Subcommand)]
enum Act {
    /// What lies in the shop
    List,
    /// Put a part on the shelf: a section of a sheet from a file
    Add {
        /// Which kind of part
        #[arg(value_parser = PART_KINDS)]
        kind: String,
        /// The file with its section
        file: PathBuf,
        /// What to call it; the file's name where nothing is said
        #[arg(long)]
        name: Option<String>,
    },
    /// Take build and swap sheets into the shop, byte for byte
    Import {
        /// Build sheets (*.build.toml) and swap sheets (*.swap.toml)
        #[arg(required = true)]
        files: Vec<PathBuf>,
        /// The build that the swap sheets start from
        #[arg(long, value_name = "NAME")]
        base: Option<String>,
        /// Write over sheets of the same name; undo brings the old ones back
        #[arg(long)]
        replace: bool,
    },
    /// Write everything into a folder, byte for byte; files that are there already are not overwritten
    Export {
        /// The folder; made where there is none
        folder: PathBuf,
    },
    /// Copy the shop file while it may be open
    Backup {
        /// The copy
        file: PathBuf,
    },
    /// Take the last change back; again, one further
    Undo,
}

/// Does it.
pub fn run(args: &ShelfArgs) -> Result<Exit> {
    let path = args.shop.clone().map_or_else(usual_shop, Ok)?;
    if !path.exists() && !matches!(args.act, Act::Import { .. } | Act::Add { .. }) {
        bail!(
            "there is no shop file {}: `headroom bench` or `headroom shelf import` makes one",
            path.display()
        );
    }
    let mut shop = Shop::open(&path)?;
    match &args.act {
        Act::List => list(&shop, args.format)?,
        Act::Add { kind, file, name } => add(&mut shop, kind, file, name.as_deref())?,
        Act::Import { files, base, replace } => import(&mut shop, files, base.as_deref(), *replace)?,
        Act::Export { folder } => export(&shop, folder)?,
        Act::Backup { file } => {
            shop.backup(file)?;
            print(&format!("copied to {}\n", file.display()));
        }
        Act::Undo => match shop.undo(None)? {
            Some(change) => print(&format!("taken back: {} ({})\n", change.what, change.at)),
            None => print("nothing to take back\n"),
        },
    }
    Ok(Exit::Clear)
}

/// The shop file of whoever runs this, where the system keeps such files.
pub fn usual_shop() -> Result<PathBuf> {
    let of = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let folder = if cfg!(target_os = "windows") {
        of("APPDATA")
    } else if cfg!(target_os = "macos") {
        of("HOME").map(|home| home.join("Library/Application Support"))
    } else {
        of("XDG_DATA_HOME").or_else(|| of("HOME").map(|home| home.join(".local/share")))
    };
    let folder =
        folder.ok_or_else(|| anyhow!("no home folder is known: name the shop file"))?.join("headroom");
    fs::create_dir_all(&folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    Ok(folder.join("shop.headroom"))
}

#[derive(Serialize)]
struct Row {
    drawer: &'static str,
    id: i64,
    name: String,
    kind: Option<String>,
    build_id: Option<i64>,
    revision: i64,
    changed_at: String,
}

fn list(shop: &Shop, format: Format) -> Result<()> {
    let mut all = Vec::new();
    for drawer in Drawer::ALL {
        let entries = shop.list(drawer)?;
        all.extend(entries.into_iter().map(|entry| (drawer, entry)));
    }
    if format == Format::Json {
        let rows: Vec<Row> = all.into_iter().map(|(drawer, entry)| row(drawer, entry)).collect();
        return print_json(&rows);
    }
    let mut out = format!("{}\n", shop.path().display());
    for drawer in Drawer::ALL {
        let mut rows = vec![["name", "of", "revision", "changed"].map(str::to_owned).to_vec()];
        let build_name = |id: Option<i64>| {
            let found = |(of, entry): &&(Drawer, Entry)| *of == Drawer::Build && Some(entry.id) == id;
            all.iter().find(found).map_or(String::new(), |(_, entry)| entry.name.clone())
        };
        rows.extend(all.iter().filter(|(of, _)| *of == drawer).map(|(_, entry)| {
            let of = entry.kind.clone().unwrap_or_else(|| build_name(entry.build_id));
            let day = entry.changed_at.split('T').next().unwrap_or_default();
            vec![entry.name.clone(), of, entry.revision.to_string(), day.to_owned()]
        }));
        let word = ["Builds", "Swaps", "Pulls", "Parts"][drawer as usize];
        out.push_str(&heading(word));
        out.push_str(&if rows.len() > 1 { table(&rows, &[2]) } else { "  none\n".to_owned() });
    }
    print(&out);
    Ok(())
}

fn row(drawer: Drawer, entry: Entry) -> Row {
    let Entry { id, name, revision, changed_at, build_id, kind, .. } = entry;
    Row { drawer: drawer.word(), id, name, kind, build_id, revision, changed_at }
}

fn add(shop: &mut Shop, kind: &str, file: &Path, name: Option<&str>) -> Result<()> {
    let text = text_of(file)?;
    let name = name.map_or_else(|| own_name(file), |name| Ok(name.to_owned()))?;
    let new = NewEntry { name: &name, text: &text, build_id: None, kind: Some(kind) };
    let entry = shop.add(Drawer::Part, &new)?;
    print(&format!("{kind} {} is on the shelf\n", entry.name));
    Ok(())
}

fn import(shop: &mut Shop, files: &[PathBuf], base: Option<&str>, replace: bool) -> Result<()> {
    let base = match base {
        None => None,
        Some(name) => {
            let found = shop.find(Drawer::Build, name)?;
            Some(
                found
                    .ok_or_else(|| anyhow!("there is no build called {name} in {}", shop.path().display()))?
                    .id,
            )
        }
    };
    // Builds first, so that a swap may start from one that comes with it.
    let is_swap = |file: &&PathBuf| file.to_string_lossy().ends_with(".swap.toml");
    let (swaps, builds): (Vec<&PathBuf>, Vec<&PathBuf>) = files.iter().partition(is_swap);
    for file in builds {
        take(shop, Drawer::Build, file, None, replace)?;
    }
    for file in swaps {
        let base = match base {
            Some(base) => base,
            None => base_of(shop, file)?,
        };
        take(shop, Drawer::Swap, file, Some(base), replace)?;
    }
    Ok(())
}

/// The build a swap sheet starts from by its name, as `heron-big-valves` from `heron`.
fn base_of(shop: &Shop, file: &Path) -> Result<i64> {
    let own = own_name(file)?;
    let builds = shop.list(Drawer::Build)?;
    let named_after = builds.iter().filter(|build| own.starts_with(&build.name));
    let base = named_after.max_by_key(|build| build.name.len());
    base.map(|build| build.id)
        .ok_or_else(|| anyhow!("{}: say with --base which build it starts from", file.display()))
}

fn take(shop: &mut Shop, drawer: Drawer, file: &Path, base: Option<i64>, replace: bool) -> Result<()> {
    let (name, text) = (own_name(file)?, text_of(file)?);
    let word = drawer.word();
    match shop.find(drawer, &name)? {
        Some(known) if known.text == text => print(&format!("{word} {name} is there already\n")),
        Some(known) if replace => {
            shop.put(drawer, known.id, known.revision, &name, &text)?;
            print(&format!("{word} {name} is replaced\n"));
        }
        Some(_) => bail!("there is another {word} called {name}: --replace writes over it"),
        None => {
            shop.add(drawer, &NewEntry { name: &name, text: &text, build_id: base, kind: None })?;
            print(&format!("{word} {name} is in the shop\n"));
        }
    }
    Ok(())
}

fn export(shop: &Shop, folder: &Path) -> Result<()> {
    fs::create_dir_all(folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    let mut files: Vec<(PathBuf, String)> = Vec::new();
    for drawer in Drawer::ALL {
        for entry in shop.list(drawer)? {
            let ending = match drawer {
                Drawer::Build => "build.toml".to_owned(),
                Drawer::Swap => "swap.toml".to_owned(),
                Drawer::Pull => "pull".to_owned(),
                Drawer::Part => format!("{}.part.toml", entry.kind.unwrap_or_default()),
            };
            files.push((folder.join(format!("{}.{ending}", entry.name)), entry.text));
        }
    }
    // All or nothing: what is there already is looked for before the first file is written.
    for (file, text) in &files {
        if fs::read(file).is_ok_and(|there| there != text.as_bytes()) {
            bail!("{} is there already and says something else: name an empty folder", file.display());
        }
    }
    for (file, text) in &files {
        fs::write(file, text).with_context(|| format!("{} cannot be written", file.display()))?;
    }
    print(&format!("{} files written to {}\n", files.len(), folder.display()));
    Ok(())
}

fn own_name(file: &Path) -> Result<String> {
    let name = file.file_name().ok_or_else(|| anyhow!("{} is no file", file.display()))?;
    Ok(name_from_file(&name.to_string_lossy()).to_owned())
}

fn text_of(file: &Path) -> Result<String> {
    let bytes = fs::read(file).with_context(|| format!("{} cannot be read", file.display()))?;
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        anyhow!("{}: byte {at} is not UTF-8: save the file again with that encoding", file.display())
    })
}
