//! Files of `headwright raked`: written whole or not at all.

use std::io::Write as _;
use std::path::Path;

use clap::ValueEnum;

use crate::trim::Wrong;
use crate::trim::paper::{self, Paper, Plate};
use crate::trim::raked::RakedInput;

use super::RakedArgs;

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum PaperArg {
    /// 8 1/2 x 11 in.
    #[default]
    Letter,
    /// 210 x 297 mm.
    A4,
}

impl From<PaperArg> for Paper {
    fn from(paper: PaperArg) -> Self {
        match paper {
            PaperArg::Letter => Self::Letter,
            PaperArg::A4 => Self::A4,
        }
    }
}

/// Writes the files that are asked for. All are drawn before the first is
/// written.
///
/// # Errors
/// If the points go round no outline, or a file cannot be written.
pub(super) fn write_files(args: &RakedArgs, input: &RakedInput) -> Result<(), Wrong> {
    if args.pdf.is_none() && args.svg.is_none() && args.dxf.is_none() {
        return Ok(());
    }
    let Some(raked) = input.raked() else {
        let what = "goes round no area without crossing itself; such a section cannot be drawn";
        return Err(Wrong::new("section", what));
    };
    let plate = Plate::of_raked("Raked sections", &raked);
    let mut files: Vec<(&Path, Vec<u8>)> = Vec::new();
    if let Some(file) = &args.pdf {
        files.push((file, paper::pdf(&plate.scene(), args.paper.into())));
    }
    if let Some(file) = &args.svg {
        files.push((file, paper::svg(&plate).into_bytes()));
    }
    if let Some(file) = &args.dxf {
        files.push((file, paper::dxf(&plate, input.unit).into_bytes()));
    }
    files
        .into_iter()
        .try_for_each(|(file, bytes)| whole(file, &bytes))
}

/// Writes beside `file` first and renames: nobody ever sees half of it.
fn whole(file: &Path, bytes: &[u8]) -> Result<(), Wrong> {
    let shown = file.display().to_string();
    let wrong = |error: &dyn std::fmt::Display| {
        Wrong::new(shown.as_str(), format!("cannot be written: {error}"))
    };
    let Some(name) = file.file_name().and_then(|name| name.to_str()) else {
        return Err(wrong(&"a file's name is needed"));
    };
    let beside = file.with_file_name(format!(".{name}.{}.part", std::process::id()));
    let written = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&beside)
        .and_then(|mut part| {
            part.write_all(bytes)?;
            part.sync_all()
        })
        .and_then(|()| std::fs::rename(&beside, file));
    written.map_err(|error| {
        // What was begun is of no use to anybody.
        let _ = std::fs::remove_file(&beside);
        wrong(&error)
    })
}
