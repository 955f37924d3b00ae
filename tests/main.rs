//! Every test of the program, in one binary. A folder is an area.

mod access;
mod architecture;
mod backup;
mod browser;
mod calendar;
mod clients;
mod crew;
mod cutting;
mod db;
mod firm;
mod heads;
mod jobs;
mod measure;
mod openings;
mod orders;
mod outside;
mod permits;
mod photos;
mod safety;
mod sections;
mod solid;
mod stock;
mod support;
mod tools;
mod trim;
mod web;
