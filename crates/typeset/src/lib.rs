//! typeset
