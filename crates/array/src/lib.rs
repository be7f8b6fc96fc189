//! array
