//! Clearance volumes and compression.
