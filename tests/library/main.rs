//! The library, asked as a crate that uses it would.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[path = "../common/mod.rs"]
mod common;

mod alternatives;
mod arc_lengths;
mod assured;
mod brute_force;
mod card;
mod compare;
mod continuity;
mod ends;
#[cfg(feature = "figures")]
mod figures;
mod film_as_it_is;
mod films;
mod flawed_readings;
mod heat;
mod hold;
mod hostile;
mod house;
mod landmarks;
mod landmarks_seen;
mod landmarks_stay;
mod lesson;
mod march_properties;
mod noise;
mod order_search;
mod orders;
mod outcome;
mod properties;
mod readers;
mod recommend;
mod regressions;
mod steps;
mod supply;
mod surface;
mod survey;
mod trial;
mod truss;
mod validation;
