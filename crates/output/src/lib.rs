//! Results laid out: drawings, tables, books. A value first, then bytes; the same bytes from the same study.

pub mod answers;
mod answers_parts;
pub mod book;
pub mod demand;
pub mod drawing;
pub mod hours;
pub mod json;
pub mod money;
pub mod one_day;
pub mod opened;
pub mod say;
pub mod sheets;
pub mod sheets_earth;
pub mod sheets_faults;
pub mod sheets_legs;
pub mod sheets_loss;
pub mod sheets_places;
pub mod sheets_protect;
pub mod sheets_service;
pub mod sheets_terminals;
pub mod sheets_wiring;
pub mod size;
pub mod sky;
pub mod strings;
pub mod table;
pub mod why;
pub mod year_words;
