//! Gaps between parts, and the cuts that open them.
