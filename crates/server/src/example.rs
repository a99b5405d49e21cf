//! An example shop: the demos, so that the first start has something to look at.

use rust_embed::Embed;
use shop::{Drawer, NewEntry, Shop, ShopError, name_from_file};

/// The demos: invented engines.
#[derive(Embed)]
#[folder = "../../demos"]
struct Demos;

/// Puts the demos into a shop that was just made. What they brought is not a change that could be undone.
pub fn fill_example(shop: &mut Shop) -> Result<(), ShopError> {
    let mut names: Vec<String> = Demos::iter().map(|name| name.into_owned()).collect();
    names.sort();
    let text = |name: &str| {
        let file = Demos::get(name)?;
        String::from_utf8(file.data.into_owned()).ok()
    };
    for name in names.iter().filter(|name| name.ends_with(".build.toml")) {
        let Some(text) = text(name) else { continue };
        let new = NewEntry { name: name_from_file(name), text: &text, ..NewEntry::default() };
        shop.add(Drawer::Build, &new)?;
    }
    let builds = shop.list(Drawer::Build)?;
    for name in names.iter().filter(|name| name.ends_with(".swap.toml")) {
        let own = name_from_file(name);
        // A swap of the demos is named after the build it starts from.
        let of = builds.iter().filter(|build| own.starts_with(&build.name));
        let base = of.max_by_key(|build| build.name.len());
        let (Some(text), Some(base)) = (text(name), base) else { continue };
        let new = NewEntry { name: own, text: &text, build_id: Some(base.id), kind: None };
        shop.add(Drawer::Swap, &new)?;
    }
    for name in names.iter().filter(|name| name.ends_with(".pull.toml")) {
        let own = name.rsplit('/').next().unwrap_or(name).trim_end_matches(".pull.toml");
        let of = builds.iter().find(|build| own.starts_with(&build.name));
        let Some(text) = text(name) else { continue };
        let new = NewEntry { name: own, text: &text, build_id: of.map(|build| build.id), kind: None };
        shop.add(Drawer::Pull, &new)?;
    }
    shop.forget_changes()
}
