//! The parts of an engine, their frames, and estimates for what was not measured.
