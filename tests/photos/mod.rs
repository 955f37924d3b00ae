//! Photos: what is kept of a sent picture, who may see it, the wall's gate.

mod develop;
mod pages;

use std::io::Cursor;

use headwright::access::Made;
use headwright::openings::OpeningId;
use headwright::photos::{self, NewPhoto, PhotoFacts, PhotoId, PhotoKind};
use image::codecs::jpeg::JpegEncoder;
use image::{ImageFormat, Rgb, RgbImage};

use crate::support::TestApp;

/// Left half red, right half blue.
pub fn red_and_blue(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, _| {
        if x < width / 2 {
            Rgb([220, 20, 20])
        } else {
            Rgb([20, 20, 220])
        }
    })
}

/// The same as a JPEG.
pub fn jpeg(width: u32, height: u32) -> Vec<u8> {
    let mut out = Vec::new();
    JpegEncoder::new_with_quality(&mut out, 92)
        .encode_image(&red_and_blue(width, height))
        .expect("a picture");
    out
}

/// The same as another kind of picture.
pub fn other(width: u32, height: u32, kind: ImageFormat) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    red_and_blue(width, height)
        .write_to(&mut out, kind)
        .expect("a picture");
    out.into_inner()
}

/// A segment of a JPEG file.
fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
    let length = u16::try_from(body.len() + 2).expect("short");
    let mut out = vec![0xFF, marker];
    out.extend_from_slice(&length.to_be_bytes());
    out.extend_from_slice(body);
    out
}

/// What a telephone writes into a picture: how it was held, where it was, which
/// camera; as EXIF (laid out after the TIFF 6.0 and EXIF tables, from memory),
/// as XMP and as a comment.
pub fn with_notes(picture: &[u8], orientation: u16) -> Vec<u8> {
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        let mut out = Vec::new();
        out.extend_from_slice(&tag.to_le_bytes());
        out.extend_from_slice(&kind.to_le_bytes());
        out.extend_from_slice(&count.to_le_bytes());
        out.extend_from_slice(&value.to_le_bytes());
        out
    };
    let mut tiff = b"II*\0\x08\0\0\0".to_vec();
    // The first list, at 8: three entries and the end, 42 bytes.
    tiff.extend_from_slice(&3_u16.to_le_bytes());
    tiff.extend(entry(0x010F, 2, 16, 50)); // maker, at 50
    tiff.extend(entry(0x0112, 3, 1, u32::from(orientation)));
    tiff.extend(entry(0x8825, 4, 1, 66)); // the list of the place, at 66
    tiff.extend_from_slice(&0_u32.to_le_bytes());
    tiff.extend_from_slice(b"CanaryCameraCo.\0");
    tiff.extend_from_slice(&2_u16.to_le_bytes());
    tiff.extend(entry(1, 2, 2, u32::from(b'N')));
    tiff.extend(entry(2, 5, 3, 96)); // latitude, at 96
    tiff.extend_from_slice(&0_u32.to_le_bytes());
    for (over, under) in [(43_u32, 1_u32), (39, 1), (123_456, 10_000)] {
        tiff.extend_from_slice(&over.to_le_bytes());
        tiff.extend_from_slice(&under.to_le_bytes());
    }
    let mut out = picture[..2].to_vec();
    out.extend(segment(0xE1, &[b"Exif\0\0".as_slice(), &tiff].concat()));
    out.extend(segment(
        0xE1,
        b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta>exif:GPSLatitude=CanaryPlace</x:xmpmeta>",
    ));
    out.extend(segment(0xFE, b"CanaryComment"));
    out.extend_from_slice(&picture[2..]);
    out
}

/// A photo put in past the form, without its files.
pub async fn a_photo(firm: &TestApp, opening: i64) -> PhotoId {
    let made = Made {
        at: firm.app.now(),
        by: Some(firm.person("office").await),
    };
    let new = NewPhoto {
        opening: OpeningId::new(opening),
        head: None,
        facts: PhotoFacts {
            kind: PhotoKind::Before,
            caption: "From the street".into(),
            beside: None,
        },
        name: "0123456789abcdef0123456789abcdef".into(),
        size: (400, 300),
    };
    let mut tx = firm.app.db().write().await.expect("the writer");
    let id = photos::add_photo(&mut tx, made, &new).await.expect("added");
    tx.commit().await.expect("kept");
    id
}
