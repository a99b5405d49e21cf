//! Builds in, assessments out: what clears, what hits, how sure that is and what to do about it.
//!
//! The layers below compute; this one asks them the questions of the shop, sets the answers against limits and
//! tolerances, and puts them into words. It alone knows serialisation: every answer derives `Serialize`, with the unit in
//! the name of each number.

pub mod check;
pub mod finding;
pub mod clearance;
pub mod contact;
pub mod gasket_cover;
pub mod motions;
pub mod phasing;
pub mod moving;
mod moving_chance;
pub mod moving_parts;
mod moving_spread;
pub mod mock_up;
pub mod mock_up_wire;
pub mod spring_room;
pub mod running_quench;
pub mod sampling;
pub mod attribution;
pub mod relief;
pub mod relief_left;
pub mod relief_left_chance;
pub mod relief_apply;
pub mod relief_sheet;
pub mod relief_fly_cut;
pub mod relief_words;
pub mod relief_wire;
pub mod fallback;
pub mod fallback_change;
pub mod fallback_price;
pub mod fallback_side_effect;
pub mod slack;
pub mod slack_change;
pub mod slack_search;
pub mod slack_words;
pub mod slack_wire;
pub mod volumes;
pub mod volumes_change;
pub mod volumes_effective;
mod volumes_propagate;
mod volumes_shares;
pub mod volumes_words;
pub mod volumes_wire;
pub mod lift;
pub mod lift_trouble;
pub mod lift_words;
pub mod lift_curve;
pub mod lift_svg;
pub mod lift_wire;
pub mod pulls_words;
pub mod pulls_svg;
pub mod pulls_wire;
mod svg_axis;
pub mod pull;
pub mod pull_words;
pub mod pull_wire;
pub mod search;
pub mod calibrate_prior;
pub mod calibrate_fit;
pub mod calibrate;
pub mod calibrate_words;
pub mod calibrate_file;
pub mod calibrate_wire;
pub mod foretold;
pub mod place;
pub mod assumed;
pub mod words;
pub mod verdict;
pub mod wire;

pub use check::{CheckAnswer, CheckOptions, check};
pub use finding::{Finding, Status};
pub use verdict::{SwapAnswer, swap};
