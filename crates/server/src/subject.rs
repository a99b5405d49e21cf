//! What an answer is about: a build, or a build with a swap, read from the shop once and kept until the shop changes.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use headroom::mock_up::MockUp;
use parts::Build;
use sheet::{Candidate, Sheet, read_build, read_candidate};
use shop::{Drawer, Shop, name_from_file};

use crate::failure::Failure;

/// A build or a candidate, read.
pub struct Subject {
    /// Revision of the build's sheet.
    pub build_revision: i64,
    /// Revision of the swap's sheet.
    pub swap_revision: Option<i64>,
    /// The build as its sheet has it.
    pub base: Sheet,
    /// With the swap.
    pub candidate: Option<Candidate>,
    /// The digest of every text it was read from.
    pub texts: [u8; 32],
    mock_up: OnceLock<MockUp>,
}

/// Kept subjects, the newest last.
#[derive(Default)]
pub struct Subjects {
    kept: Mutex<VecDeque<(Key, Arc<Subject>)>>,
}

/// Build, swap, and the last change of the shop when they were read.
type Key = (i64, Option<i64>, i64);

/// As many as somebody has open at once.
const MOST_KEPT: usize = 64;

impl Subject {
    /// The engine in question.
    pub fn build(&self) -> &Build {
        self.candidate.as_ref().map_or(&self.base.build, |candidate| &candidate.build)
    }

    /// What the reader of the sheets did that the reader of the answer should know.
    pub fn notes(&self) -> &[String] {
        self.candidate.as_ref().map_or(&self.base.notes, |candidate| &candidate.notes)
    }

    /// The engine ready to be turned by hand, made when first asked for.
    pub fn mock_up(&self) -> &MockUp {
        self.mock_up.get_or_init(|| MockUp::new(self.build()))
    }

    /// Whether [`Self::mock_up`] answers at once.
    pub fn is_mocked_up(&self) -> bool {
        self.mock_up.get().is_some()
    }
}

impl Subjects {
    /// The subject if it was read since the shop last changed.
    pub fn known(&self, shop: &Shop, build: i64, swap: Option<i64>) -> Result<Option<Arc<Subject>>, Failure> {
        let key = (build, swap, shop.last_change_number()?);
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        Ok(kept.iter().rev().find(|(known, _)| *known == key).map(|(_, subject)| Arc::clone(subject)))
    }

    /// The subject, read now if need be.
    pub fn get(&self, shop: &Shop, build: i64, swap: Option<i64>) -> Result<Arc<Subject>, Failure> {
        if let Some(known) = self.known(shop, build, swap)? {
            return Ok(known);
        }
        // Taken before the texts are: a change in between makes the entry one that nobody asks for.
        let key = (build, swap, shop.last_change_number()?);
        let subject = Arc::new(read(shop, build, swap)?);
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() >= MOST_KEPT {
            kept.pop_front();
        }
        kept.push_back((key, Arc::clone(&subject)));
        Ok(subject)
    }
}

fn read(shop: &Shop, build: i64, swap: Option<i64>) -> Result<Subject, Failure> {
    let base_entry = shop.get(Drawer::Build, build)?;
    let Some(swap) = swap else {
        return Ok(Subject {
            build_revision: base_entry.revision,
            swap_revision: None,
            base: read_build(&base_entry.text)?,
            candidate: None,
            texts: shop::digest(&[base_entry.text.as_bytes()]),
            mock_up: OnceLock::new(),
        });
    };
    let swap_entry = shop.get(Drawer::Swap, swap)?;
    if swap_entry.build_id != Some(build) {
        return Err(Failure::not_sensible(format!(
            "swap {} does not start from build {}",
            swap_entry.name, base_entry.name
        )));
    }
    let mut others: Vec<String> = Vec::new();
    let mut resolve = |name: &str| {
        let text = other_sheet(shop, name)?;
        others.push(text.clone());
        Ok(text)
    };
    let candidate = read_candidate(&base_entry.text, &swap_entry.text, &mut resolve)?;
    let mut texts = vec![base_entry.text.as_bytes(), swap_entry.text.as_bytes()];
    texts.extend(others.iter().map(String::as_bytes));
    Ok(Subject {
        build_revision: base_entry.revision,
        swap_revision: Some(swap_entry.revision),
        texts: shop::digest(&texts),
        base: read_build(&base_entry.text)?,
        candidate: Some(candidate),
        mock_up: OnceLock::new(),
    })
}

/// The sheet that a swap sheet takes parts from: a build of the shop, by the name its file would have.
pub fn other_sheet(shop: &Shop, file_name: &str) -> Result<String, String> {
    let name = name_from_file(file_name);
    match shop.find(Drawer::Build, name) {
        Ok(Some(entry)) => Ok(entry.text),
        Ok(None) => Err(format!("there is no build called {name} in this shop")),
        Err(error) => Err(error.to_string()),
    }
}
