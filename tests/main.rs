//! One binary for all tests: behaviour through the command line, the public library and a real browser.

mod agreement;
mod browser;
mod browser_driver;
mod cycles;
mod drawings;
mod explore;
mod find;
mod findings;
mod glossary;
mod ground;
mod keys;
mod layering;
mod preview;
mod reference;
mod register;
mod sheets;
mod starter;
