//! Tests of the whole project: the one-way arrows between crates, the words that must not be printed, and
//! `VALIDATION.md`, whose numbers are computed anew by each run.
//!
//! There is no code here, only `tests/`. The crate stays out of a plain build.
