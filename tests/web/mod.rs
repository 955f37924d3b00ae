//! What holds for every page and every form.

mod forms;
mod headers;
mod program;
mod reading;
mod templates;
