//! The record and the register: reading, marking again, order, tampering, standing, and the commands.

mod audit;
mod backup;
mod canonical;
mod commands;
mod desk;
mod entering;
mod erasing;
mod exporting;
mod forms;
mod gathering;
mod key_files;
mod killed;
mod made;
mod order;
mod reading;
mod refusing;
mod restoring;
mod signing;
mod standing;
mod tampering;
