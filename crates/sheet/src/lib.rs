//! The build sheet: text to parts and back, with messages for people.
//!
//! A sheet is TOML. What may stand in it is written once in [`vocabulary`]; everything else here is made from that.
//! Reading goes in four steps: bytes to text (`source`), text to a tree that knows its places (`tree`), keys and
//! values against the vocabulary (`check`), tables to parts (`read_build` and the files beside it). All problems are
//! found before the first is reported. No file is opened here.

pub mod vocabulary;

mod read_build;
mod read_block;
mod read_relief;
mod read_gear;
mod read_running;
mod read_firing;
mod read_flow;
mod read_breathing;
mod read_charge;
mod read_lobe;
mod read_train;
mod read_head;
mod read_piston;
mod read_outline;
mod layers;

pub mod lobe_csv;
pub mod flow_csv;

pub mod swap;
mod swap_payoff;
mod merge;

pub mod plan;
mod read_plan;

pub mod new_sheet;
pub mod schema;
pub mod manual;

mod check;
mod csv_cells;
mod quantity_problem;
mod nearest;
mod tree;
mod source;
mod problem;

pub use flow_csv::read_flow_csv;
pub use lobe_csv::read_lobe_csv;
pub use manual::manual;
pub use new_sheet::{AnswerError, Answers, new_sheet};
pub use plan::{Plan, read_plan_bytes};
pub use problem::{File, Problem, Problems};
pub use read_build::{Sheet, read_build, read_build_bytes};
pub use schema::{plan_schema, schema, swap_schema};
pub use source::MOST_BYTES;
pub use swap::{Candidate, PartName, read_candidate, read_candidate_bytes};
pub use swap_payoff::{ChangeGroup, PayoffWishes};
