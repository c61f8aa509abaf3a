//! The page in a real browser: Chromium, driven through `WebDriver` (W3C). Shots come over the API while
//! it looks; what it shows must be what the API says. Every look is also held against axe-core, an
//! independent checker of accessibility, and must leave no error in the console and ask no other host.
//! Screenshots are in `target/browser/`, for who changes the page to look at.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod asks;
mod axe;
mod brief;
mod browser;
mod by_hand;
mod demo;
mod driver;
mod follows;
mod foreign;
mod health;
mod looks;
mod newcomers;
mod season;
mod sources;
mod strangers;
mod table;
mod trial;
mod words;
