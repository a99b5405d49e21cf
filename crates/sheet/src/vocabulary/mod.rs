//! The words of a sheet: every section and every key, each written once with its meaning, sign, how to measure it,
//! its usual tolerances and the range that makes sense.
//!
//! The reader, the schema for editors, the sheet that `headroom new` writes, the suggestions for mistyped keys and
//! `docs/sheet.md` all come from here. A new key is one const and its line in a section.

pub mod form;
pub mod usual;
pub mod find;

pub mod sheet;

pub mod block;
pub mod relief;
pub mod gasket;
pub mod head;
pub mod piston;
pub mod cam;
pub mod lobe;
pub mod train;
pub mod spring;
pub mod outline;
pub mod port;
pub mod flow;
pub mod induction;
pub mod exhaust;
pub mod boost;
pub mod fuel;
pub mod spark;
pub mod walls;
pub mod friction;
pub mod weather;
pub mod used;
pub mod limits;

pub mod swap;

pub mod plan;
pub mod plan_adjust;

pub use form::{Entry, Field, Form, Missing, Pairs, Range, Reads, Section, Shape, Words};
pub use usual::Usual;
