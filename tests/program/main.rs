//! The program, its page and its server, as their users meet them.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[path = "../common/mod.rs"]
mod common;

mod beside;
mod browser;
mod class_view;
mod command_line;
mod ends;
mod faults;
mod firefox;
mod heatlog;
mod in_the_bay;
mod measured;
mod own;
mod page;
mod question;
mod readings;
mod readme;
mod rough;
mod said;
mod seen;
mod server;
mod sheets;
mod tracing;
mod trial;
