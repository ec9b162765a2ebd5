//! The record and the register: reading, marking again, order, tampering, standing, and the commands.

mod audit;
mod canonical;
mod commands;
mod entering;
mod gathering;
mod made;
mod order;
mod reading;
mod refusing;
mod standing;
