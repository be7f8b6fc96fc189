//! energy
