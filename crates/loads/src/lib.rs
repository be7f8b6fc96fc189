//! loads
