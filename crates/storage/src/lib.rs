//! storage
