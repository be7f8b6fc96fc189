//! sun
