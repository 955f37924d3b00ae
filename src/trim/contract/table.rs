//! A cut sheet as plain text for people, in columns.

use std::fmt::Write as _;

use crate::measure::Rounding;
use crate::trim::sheet::{Bend, Board, Cut, Piece, Sheet, SolvedRun};
use crate::trim::words::{bevel_words, degrees_text, lay_short, swing_words, tilt_words};

const HEADINGS: [&str; 7] = [
    "piece",
    "hook to mark",
    "stick",
    "end",
    "point",
    "hold and saw",
    "mate",
];

/// The cut sheet as text: findings first, then each run piece by piece.
#[must_use]
pub fn table(sheet: &Sheet, rounding: Rounding) -> String {
    let mut out = String::new();
    let name = if sheet.head.is_empty() {
        "Cut sheet"
    } else {
        &sheet.head
    };
    line(&mut out, name);
    line(&mut out, &note(rounding));
    for finding in &sheet.findings {
        let piece = finding.piece.as_deref().map(|p| format!("{p}: "));
        let piece = piece.unwrap_or_default();
        let word = finding.severity.word();
        line(
            &mut out,
            &format!("{word} ({}): {piece}{}", finding.code, finding.text),
        );
    }
    for run in &sheet.runs {
        line(&mut out, "");
        line(&mut out, &run.name);
        columns(&mut out, &rows(run, rounding));
    }
    for board in &sheet.boards {
        line(&mut out, "");
        line(&mut out, &board_line(board, rounding));
    }
    for bend in &sheet.bends {
        line(&mut out, "");
        line(&mut out, &bend_line(bend, rounding));
    }
    let moves = sheet.saw_moves;
    line(&mut out, "");
    line(
        &mut out,
        &format!(
            "saw moves: {} in walk order, {} in gang order",
            moves.walk, moves.gang
        ),
    );
    out
}

fn line(out: &mut String, text: &str) {
    // Writing to a String cannot fail.
    let _ = writeln!(out, "{}", text.trim_end());
}

fn note(rounding: Rounding) -> String {
    let to = match rounding {
        Rounding::Sixteenth => "inches to 1/16",
        Rounding::ThirtySecond => "inches to 1/32",
        Rounding::HalfMillimetre => "millimetres to 0.5",
    };
    format!(
        "Lengths in {to}. Follow the saw's manual and local rules; short pieces are not held by hand."
    )
}

type Row = [String; HEADINGS.len()];

fn rows(run: &SolvedRun, rounding: Rounding) -> Vec<Row> {
    let mut rows = vec![HEADINGS.map(str::to_owned)];
    for piece in &run.pieces {
        rows.push(row(piece, &piece.left, true, rounding));
        rows.push(row(piece, &piece.right, false, rounding));
    }
    rows
}

fn row(piece: &Piece, cut: &Cut, left: bool, rounding: Rounding) -> Row {
    let first = |text: String| if left { text } else { String::new() };
    [
        first(piece.label.clone()),
        first(rounding.text(piece.tape)),
        first(rounding.text(piece.overall)),
        if left { "left" } else { "right" }.to_owned(),
        cut.point.word().to_owned(),
        saw(cut),
        cut.mate.clone().unwrap_or_else(|| "-".to_owned()),
    ]
}

fn saw(cut: &Cut) -> String {
    let setting = &cut.setting;
    let swing = swing_words(setting.swing);
    let tilt = match tilt_words(setting.tilt) {
        words if words == "upright" => String::new(),
        words => format!(", {words}"),
    };
    format!("{}: {swing}{tilt}", lay_short(setting))
}

fn columns(out: &mut String, rows: &[Row]) {
    let width = |i: usize| {
        let cells = rows.iter().filter_map(|row| row.get(i));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..HEADINGS.len()).map(width).collect();
    for row in rows {
        let cells = row.iter().zip(&widths);
        let cells: Vec<String> = cells
            .map(|(cell, width)| format!("{cell:width$}"))
            .collect();
        line(out, &format!("  {}", cells.join("  ")));
    }
}

fn board_line(board: &Board, rounding: Rounding) -> String {
    let corners: Vec<String> = board
        .outline
        .iter()
        .map(|&(x, y)| format!("({}, {})", rounding.text(x), rounding.text(y)))
        .collect();
    let bevels: Vec<String> = bevel_words(board).collect();
    let bevels = if bevels.is_empty() {
        String::new()
    } else {
        format!("; {}", bevels.join(", "))
    };
    format!(
        "{}, {} thick; corners from the lower left, across and up: {}{bevels}",
        board.label,
        rounding.text(board.thickness),
        corners.join(" ")
    )
}

fn bend_line(bend: &Bend, rounding: Rounding) -> String {
    format!(
        "{}, bent in one piece: radius {}, arc {}, developed {} ({} at the lowest edge, {} at the \
         highest); {} kerfs of {} each",
        bend.run,
        rounding.text(bend.radius),
        degrees_text(bend.arc),
        rounding.text(bend.developed),
        rounding.text(bend.inner),
        rounding.text(bend.outer),
        bend.kerfs,
        degrees_text(bend.kerf_turn),
    )
}
