//! Text in a PDF's standard fonts: Helvetica and its bold, which every reader
//! brings along. Characters outside Windows-1252 become `?`.

/// Advance widths of Helvetica for ASCII 32 to 126, thousandths of the size
/// (Adobe's font metrics, from memory).
const WIDTHS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
    611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
    667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500,
    222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];

/// One character in Windows-1252, `?` if it has none.
const fn byte(c: char) -> u8 {
    match c {
        ' '..='~' => c as u8,
        '\u{a0}'..='\u{ff}' => c as u32 as u8,
        '\u{2009}' | '\t' => b' ',
        '\u{2044}' => b'/',
        '\u{20ac}' => 0x80,
        '\u{2026}' => 0x85,
        '\u{2018}' => 0x91,
        '\u{2019}' | '\u{2032}' => 0x92,
        '\u{201c}' => 0x93,
        '\u{201d}' | '\u{2033}' => 0x94,
        '\u{2022}' => 0x95,
        '\u{2013}' | '\u{2212}' => 0x96,
        '\u{2014}' => 0x97,
        _ => b'?',
    }
}

/// Text in Windows-1252.
pub(super) fn bytes(text: &str) -> Vec<u8> {
    text.chars().map(byte).collect()
}

/// Width of text at size 1.
pub(super) fn width(bytes: &[u8]) -> f64 {
    let one = |b: &u8| {
        let index = usize::from(*b).checked_sub(32);
        let known = index.and_then(|i| WIDTHS.get(i)).copied();
        f64::from(known.unwrap_or(556)) / 1000.0
    };
    bytes.iter().map(one).sum()
}
