//! wiring
