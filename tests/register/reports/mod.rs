//! `pitwright standing --into`: pages, tables, a calendar, certificates.

mod calendar;
mod certificate;
mod house;
mod pages;
mod tables;
