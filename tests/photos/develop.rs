//! A sent picture made anew.

use headwright::photos::{LONGEST, Print, Refused, develop};
use image::{ImageFormat, RgbImage};

use super::{jpeg, other, with_notes};

fn read(bytes: &[u8]) -> RgbImage {
    image::load_from_memory_with_format(bytes, ImageFormat::Jpeg)
        .expect("a JPEG")
        .into_rgb8()
}

/// The markers of a JPEG up to its picture data, by ITU-T T.81 annex B (from
/// memory).
fn markers(bytes: &[u8]) -> Vec<u8> {
    let (mut at, mut found) = (2, Vec::new());
    while at + 4 <= bytes.len() && bytes[at] == 0xFF {
        let marker = bytes[at + 1];
        found.push(marker);
        if marker == 0xDA {
            break;
        }
        at += 2 + usize::from(u16::from_be_bytes([bytes[at + 2], bytes[at + 3]]));
    }
    found
}

/// Tables, frame, scan and the plain header only.
fn assert_clean(print: &Print) {
    for file in [&print.whole, &print.small] {
        for marker in markers(file) {
            let plain = matches!(marker, 0xE0 | 0xDB | 0xC0 | 0xC4 | 0xDA);
            assert!(plain, "marker {marker:x}");
        }
        for canary in ["Exif", "GPS", "Canary", "<script", "xmp"] {
            let there = file.windows(canary.len()).any(|w| w == canary.as_bytes());
            assert!(!there, "{canary} is still there");
        }
    }
}

#[test]
fn place_and_camera_are_gone_and_the_picture_is_turned() {
    let sent = with_notes(&jpeg(40, 20), 6);
    assert!(
        markers(&sent).contains(&0xE1),
        "the notes are there to begin with"
    );
    let print = develop(&sent).expect("taken");
    assert_clean(&print);
    // Orientation 6: the top of what was seen lies at the right, so the picture
    // is turned a quarter clockwise and its left half comes to the top.
    assert_eq!(print.size, (20, 40));
    let picture = read(&print.whole);
    let (top, foot) = (picture.get_pixel(10, 5), picture.get_pixel(10, 35));
    assert!(top[0] > 180 && top[2] < 80, "red above: {top:?}");
    assert!(foot[2] > 180 && foot[0] < 80, "blue below: {foot:?}");
}

#[test]
fn each_way_of_holding_the_camera_ends_upright() {
    // Orientation, whether the sides change, where the red half is: by the
    // table of TIFF 6.0, tag 274 (from memory).
    for (orientation, turned, red) in [
        (1, false, (5, 10)),
        (2, false, (35, 10)),
        (3, false, (35, 10)),
        (4, false, (5, 10)),
        (5, true, (10, 5)),
        (6, true, (10, 5)),
        (7, true, (10, 35)),
        (8, true, (10, 35)),
    ] {
        let print = develop(&with_notes(&jpeg(40, 20), orientation)).expect("taken");
        let size = if turned { (20, 40) } else { (40, 20) };
        assert_eq!(print.size, size, "orientation {orientation}");
        let found = *read(&print.whole).get_pixel(red.0, red.1);
        assert!(found[0] > 180, "orientation {orientation}: {found:?}");
    }
}

#[test]
fn a_large_picture_is_made_smaller_and_a_small_one_is_left() {
    let print = develop(&jpeg(5000, 2500)).expect("taken");
    assert_eq!(print.size, (LONGEST, LONGEST / 2));
    let small = read(&print.small);
    assert_eq!(small.dimensions(), (480, 240));
    let print = develop(&jpeg(3000, 1500)).expect("taken");
    assert_eq!(print.size, (LONGEST, LONGEST / 2));
    let print = develop(&jpeg(64, 48)).expect("taken");
    assert_eq!(print.size, (64, 48));
}

#[test]
fn what_a_file_holds_counts_and_not_its_name() {
    for kind in [ImageFormat::Png, ImageFormat::WebP] {
        let print = develop(&other(60, 40, kind)).expect("taken");
        assert_clean(&print);
        assert_eq!(read(&print.whole).dimensions(), (60, 40), "{kind:?}");
    }
}

#[test]
fn a_file_that_is_two_things_at_once_is_kept_as_a_picture_only() {
    for tail in [
        "<script>alert(1)</script>",
        "PK\u{3}\u{4}Canary",
        "GIF89a Canary",
    ] {
        let sent = [jpeg(40, 20).as_slice(), tail.as_bytes()].concat();
        assert_clean(&develop(&sent).expect("taken"));
    }
    // A script in a comment before the picture data.
    let mut sent = with_notes(&jpeg(40, 20), 1);
    let at = sent.windows(6).position(|w| w == b"Canary").expect("there");
    sent[at..at + 6].copy_from_slice(b"<scrip");
    assert_clean(&develop(&sent).expect("taken"));
}

#[test]
fn what_is_no_picture_of_ours_is_refused_in_words() {
    let cases: [(&[u8], &str); 7] = [
        (b"", "empty"),
        (b"GIF89a\x01\0\x01\0\0\0\0;", "GIF"),
        (
            b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
            "SVG",
        ),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "HEIC"),
        (b"%PDF-1.7", "PDF"),
        (b"just some words", "JPEG, PNG or WebP"),
        (b"\xFF\xD8\xFF", "damaged"),
    ];
    for (sent, words) in cases {
        let refused = develop(sent).expect_err("refused").to_string();
        assert!(refused.contains(words), "{refused}");
    }
}

/// A PNG's header that claims a size, with its checksum (ISO/IEC 15948, from
/// memory), and nothing after it.
fn claims(width: u32, height: u32) -> Vec<u8> {
    let mut chunk = b"IHDR".to_vec();
    chunk.extend_from_slice(&width.to_be_bytes());
    chunk.extend_from_slice(&height.to_be_bytes());
    chunk.extend_from_slice(&[8, 2, 0, 0, 0]);
    let mut crc = u32::MAX;
    for byte in &chunk {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = (crc >> 1) ^ (0xEDB8_8320 * (crc & 1));
        }
    }
    let mut out = b"\x89PNG\r\n\x1a\n\0\0\0\x0d".to_vec();
    out.extend_from_slice(&chunk);
    out.extend_from_slice(&(!crc).to_be_bytes());
    out.extend_from_slice(&[0, 0, 0, 0]);
    out.extend_from_slice(b"IDAT");
    out
}

#[test]
fn a_picture_too_large_to_be_decoded_is_refused_before_it_is() {
    for (width, height) in [(60_000, 60_000), (12_001, 10), (10, 12_001), (8_000, 8_000)] {
        let refused = develop(&claims(width, height)).expect_err("refused");
        let large = refused == Refused::Large(width, height) || refused == Refused::Damaged;
        assert!(large, "{refused}");
    }
    // A JPEG whose frame says 65,500 a side.
    let mut sent = jpeg(40, 20);
    let at = sent
        .windows(2)
        .position(|w| w == [0xFF, 0xC0])
        .expect("a frame");
    sent[at + 5..at + 9].copy_from_slice(&[0xFF, 0xDC, 0xFF, 0xDC]);
    let refused = develop(&sent).expect_err("refused");
    assert_eq!(refused, Refused::Large(65_500, 65_500));
}

#[test]
fn torn_and_scribbled_files_are_refused_or_made_clean() {
    let whole = with_notes(&jpeg(200, 120), 6);
    for cut in (0..whole.len()).step_by(whole.len() / 60 + 1) {
        if let Ok(print) = develop(&whole[..cut]) {
            assert_clean(&print);
        }
    }
    let png = other(60, 40, ImageFormat::Png);
    let webp = other(60, 40, ImageFormat::WebP);
    // A plain congruential sequence, so that a failure comes again.
    let mut seed = 7_u64;
    let mut next = |most: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        usize::try_from(seed >> 33).expect("31 bits") % most
    };
    for file in [&whole, &png, &webp] {
        for _ in 0..150 {
            let mut sent = file.clone();
            for _ in 0..4 {
                let at = next(sent.len());
                sent[at] = u8::try_from(next(256)).expect("a byte");
            }
            if let Ok(print) = develop(&sent) {
                assert_clean(&print);
            }
        }
    }
}
