//! One binary for all tests: behaviour through the command line, the public library and a real browser.

mod ground;
mod layering;
