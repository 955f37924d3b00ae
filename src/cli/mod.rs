//! The part of the command line that solves: documents in, documents out.
//!
//! Each command reads a file, or standard input for `-`, and writes its whole
//! answer at once. Exit status: 0 solved, 1 understood but it cannot be made,
//! 2 wrong input with one line on standard error.

pub mod order;
mod paper;

use std::io::{Read, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Subcommand, ValueEnum};
use serde::Serialize;
use serde_json::Value;

use crate::measure::Rounding;
use crate::trim::contract::table;
use crate::trim::{Design, Rules, Wrong, solve};
use crate::trim::{cures, raked};
pub use paper::PaperArg;

/// The largest input that is read, bytes. A head of 500 pieces is far below.
const LARGEST_INPUT: u64 = 8 * 1024 * 1024;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// Solved; warnings allowed.
    Solved,
    /// Understood, but it cannot be made.
    CannotBeMade,
    /// The input is wrong.
    WrongInput,
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        Self::from(status.code())
    }
}

impl Status {
    /// The exit status: 0, 1 or 2.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::Solved => 0,
            Self::CannotBeMade => 1,
            Self::WrongInput => 2,
        }
    }
}

/// Where a command reads and writes.
pub struct Streams<'a> {
    /// Standard input, read for `-`.
    pub input: &'a mut dyn Read,
    /// Standard output.
    pub output: &'a mut dyn Write,
    /// Standard error.
    pub error: &'a mut dyn Write,
}

/// The commands that solve.
#[derive(Debug, Clone, Subcommand)]
pub enum Command {
    /// Solve a head: its cut sheet.
    Solve(SolveArgs),
    /// Draw the sections that close round a plan corner on a rake.
    Raked(RakedArgs),
    /// Plan a lumber order: what to buy and how to cut it.
    Order(order::OrderArgs),
    /// Print the JSON Schema of a command's input and output.
    Schema(SchemaArgs),
}

impl Command {
    /// Runs on the console's own streams.
    #[must_use]
    pub fn on_console(&self) -> ExitCode {
        let mut streams = Streams {
            input: &mut std::io::stdin().lock(),
            output: &mut std::io::stdout().lock(),
            error: &mut std::io::stderr().lock(),
        };
        self.run(&mut streams).into()
    }

    /// Runs on any streams.
    pub fn run(&self, streams: &mut Streams<'_>) -> Status {
        match self {
            Self::Solve(args) => solve_command(args, streams),
            Self::Raked(args) => raked_command(args, streams),
            Self::Order(args) => order::order_command(args, streams),
            Self::Schema(args) => schema_command(*args, streams),
        }
    }
}

/// `headwright solve`: a head's cut sheet.
#[derive(Debug, Clone, Args)]
pub struct SolveArgs {
    /// Print the contract's JSON instead of a table.
    #[arg(long)]
    pub json: bool,
    /// The head's design as JSON; `-` reads standard input.
    pub head: String,
}

/// `headwright raked`: sections that close round a plan corner on a rake.
#[derive(Debug, Clone, Default, Args)]
pub struct RakedArgs {
    /// Print the contract's JSON instead of a table.
    #[arg(long)]
    pub json: bool,
    /// Write the sections at true scale to this PDF file as well.
    #[arg(long, value_name = "FILE")]
    pub pdf: Option<PathBuf>,
    /// Write them to this SVG file as well, in millimetres.
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Write them to this DXF file as well, in the input's unit.
    #[arg(long, value_name = "FILE")]
    pub dxf: Option<PathBuf>,
    /// Paper of the PDF; larger drawings are tiled.
    #[arg(long, value_enum, default_value_t)]
    pub paper: PaperArg,
    /// The section as JSON; `-` reads standard input.
    pub section: String,
}

/// `headwright schema`: the JSON Schema of a command's input and output.
#[derive(Debug, Clone, Copy, Args)]
pub struct SchemaArgs {
    /// Whose documents.
    pub of: Documents,
}

/// Commands whose documents have a schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Documents {
    /// `headwright solve`.
    Solve,
    /// `headwright raked`.
    Raked,
    /// `headwright order`.
    Order,
}

impl Documents {
    /// The schema: one document that accepts the input and the output, each
    /// also by itself under `$defs`.
    #[must_use]
    pub const fn schema(self) -> &'static str {
        match self {
            Self::Solve => include_str!("schema/solve.json"),
            Self::Raked => include_str!("schema/raked.json"),
            Self::Order => crate::cutting::SCHEMA,
        }
    }
}

/// Runs `headwright solve`.
pub fn solve_command(args: &SolveArgs, streams: &mut Streams<'_>) -> Status {
    let answer = read(&args.head, streams.input).and_then(|value| {
        let design = Design::from_json(&value)?;
        let rounding = Rounding::for_unit(design.unit);
        let rules = Rules {
            rounding,
            ..Rules::default()
        };
        let sheet = solve(&design, &rules)?;
        let text = if args.json {
            let cures = cures::of_sheet(&design, &sheet, &rules);
            document(&sheet.contract_with(&cures, rounding))?
        } else {
            table(&sheet, rounding)
        };
        Ok((text, sheet.can_be_made()))
    });
    finish(answer, streams)
}

/// Runs `headwright raked`.
pub fn raked_command(args: &RakedArgs, streams: &mut Streams<'_>) -> Status {
    let answer = read(&args.section, streams.input).and_then(|value| {
        let raked = raked::from_json(&value)?;
        paper::write_files(args, &raked)?;
        let text = if args.json {
            document(&raked.to_json())?
        } else {
            raked.table()
        };
        Ok((text, raked.ok()))
    });
    finish(answer, streams)
}

/// Runs `headwright schema`.
pub fn schema_command(args: SchemaArgs, streams: &mut Streams<'_>) -> Status {
    finish(Ok((args.of.schema().to_owned(), true)), streams)
}

/// Reads the JSON document at `path`, or standard input for `-`.
///
/// # Errors
/// If it cannot be read, is too large, or is not JSON.
pub fn read(path: &str, input: &mut dyn Read) -> Result<Value, Wrong> {
    let wrong = |what: String| Wrong::new(if path == "-" { "standard input" } else { path }, what);
    let mut bytes = Vec::new();
    let read = if path == "-" {
        input.take(LARGEST_INPUT + 1).read_to_end(&mut bytes)
    } else {
        std::fs::File::open(path)
            .and_then(|file| file.take(LARGEST_INPUT + 1).read_to_end(&mut bytes))
    };
    read.map_err(|error| wrong(format!("cannot be read: {error}; a JSON file is needed")))?;
    if bytes.len() as u64 > LARGEST_INPUT {
        return Err(wrong(
            "is larger than 8 MB, the most that is allowed".to_owned(),
        ));
    }
    serde_json::from_slice(&bytes)
        .map_err(|error| wrong(format!("is not a JSON document: {error}")))
}

fn document(value: &impl Serialize) -> Result<String, Wrong> {
    let mut text = serde_json::to_string_pretty(value)
        .map_err(|error| Wrong::new("", format!("the answer cannot be written: {error}")))?;
    text.push('\n');
    Ok(text)
}

/// Writes a whole answer, or one line saying what is wrong.
pub fn finish(answer: Result<(String, bool), Wrong>, streams: &mut Streams<'_>) -> Status {
    match answer {
        Ok((text, can_be_made)) => {
            let written = streams.output.write_all(text.as_bytes());
            if let Err(error) = written.and_then(|()| streams.output.flush()) {
                // Nobody may be left to read this either.
                let _ = writeln!(streams.error, "the answer cannot be written: {error}");
                return Status::WrongInput;
            }
            if can_be_made {
                Status::Solved
            } else {
                Status::CannotBeMade
            }
        }
        Err(wrong) => {
            let _ = writeln!(streams.error, "{wrong}");
            Status::WrongInput
        }
    }
}
