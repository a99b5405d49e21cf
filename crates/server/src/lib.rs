//! The bench: the facade's answers and the shop file over HTTP, with the screens that show them. One file a resource.
//!
//! Listens on this machine alone unless told otherwise, refuses requests that another site sent, and serves nothing but what
//! is built in: no path from outside reaches the file system.

#![expect(unused_qualifications, reason = "what the description macros make of query types")]

mod serve;
mod router;
mod openapi;
mod state;
mod subject;
mod answer;
mod failure;
mod extract;
mod guard;
mod pair;
mod assets;
mod example;

mod entries;
mod builds;
mod swaps;
mod pulls;
mod parts_on_shelf;
mod readings;
mod undo;
mod validate;
mod check;
mod compare;
mod verdict;
mod volumes;
mod slack;
mod lift;
mod relief;
mod scene;
mod gap;
mod hands;
mod dye;
mod dye_wire;
mod jobs;
mod job_kinds;
mod payoff_job;
mod about;

pub use example::fill_example;
pub use openapi::openapi_text;
pub use serve::{Bound, Options, ServeError, bind};
