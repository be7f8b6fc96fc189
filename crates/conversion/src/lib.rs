//! conversion
