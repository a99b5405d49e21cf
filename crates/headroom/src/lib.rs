//! Builds in, assessments out.
