//! What on the shelf would be better still? Every option of every choice of a plan with every setting, judged in stages.
//!
//! Combinations are numbered ([`space`]); settings are put on a build ([`setting`]); a plan is made ready once
//! ([`question`]); what costs nothing to know prunes first ([`weigh`]), then the engines that are left are run over the
//! band ([`run`]) and become rows ([`row`]). What no other row beats is the front ([`front`]). A whole search goes through
//! these in stages ([`stages`]), tunes settings between the steps ([`refine`]) and comes to an answer ([`answer`]).
//!
//! [`run_range`] is a pure function of the plan and the numbers: rows come out the same in any partition, on any number
//! of threads and machines, so that a search can be spread and taken up again. Leaves out files: what has been done is
//! text that the caller keeps ([`journal`]).

pub mod space;
pub mod setting;
pub mod question;
pub mod limit;
pub mod row;
pub mod weigh;
pub mod run;
pub mod front;
pub mod journal;
pub mod stages;
pub mod refine;
pub mod answer;
pub mod words;
pub mod wire;

pub use answer::SearchAnswer;
pub use question::{Question, QuestionError};
pub use row::Row;
pub use run::{CHUNK, run_range};
pub use stages::{SearchOptions, search};
