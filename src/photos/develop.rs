//! A sent picture made anew: bounded, decoded, turned, shrunk, and written as
//! a JPEG that holds nothing but what is to be seen. Pure.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::{DynamicImage, ImageDecoder as _, ImageFormat, ImageReader, Limits, Rgb, RgbImage};
use thiserror::Error;

/// Most bytes of a sent file.
pub const MOST_BYTES: usize = 15 * 1024 * 1024;
/// Most pixels along one side of a sent picture.
pub const MOST_SIDE: u32 = 12_000;
/// Most pixels of a sent picture in all.
pub const MOST_PIXELS: u64 = 50_000_000;
/// Pixels along the longer side of a kept picture, at most.
pub const LONGEST: u32 = 2048;
/// The same of the small one that pages show.
pub const SMALL: u32 = 480;

/// Memory that decoding may take.
const MOST_MEMORY: u64 = 256 * 1024 * 1024;
const QUALITY: u8 = 82;

/// A picture as it is kept.
#[derive(Debug, Clone)]
pub struct Print {
    /// The picture, a JPEG.
    pub whole: Vec<u8>,
    /// A small one, a JPEG.
    pub small: Vec<u8>,
    /// Width and height of the whole one, pixels.
    pub size: (u32, u32),
}

/// Why a sent file is not taken: for whoever sent it.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum Refused {
    /// No bytes.
    #[error("Choose a photo: the file is empty.")]
    Empty,
    /// More bytes than are read.
    #[error("This file is larger than 15 MB. Let the camera take a smaller picture.")]
    Heavy,
    /// Not a kind of picture that is read.
    #[error("This is {0}. A photo must be a JPEG, PNG or WebP picture.")]
    Kind(&'static str),
    /// More pixels than are read.
    #[error(
        "This picture is {0} × {1} pixels. At most 12,000 a side and 50 million in all can be taken."
    )]
    Large(u32, u32),
    /// Cut short or damaged.
    #[error("This picture cannot be read; the file is damaged or cut short. Choose it again.")]
    Damaged,
}

/// Makes a sent file into the pictures that are kept. The kind of file is told
/// by what it holds, never by its name; the size is looked at before a pixel
/// is decoded.
///
/// # Errors
/// See [`Refused`].
pub fn develop(sent: &[u8]) -> Result<Print, Refused> {
    let picture = decoded(sent)?;
    let whole = shrunk(picture, LONGEST);
    let small = shrunk(DynamicImage::ImageRgb8(whole.clone()), SMALL);
    Ok(Print {
        size: whole.dimensions(),
        whole: written(&whole)?,
        small: written(&small)?,
    })
}

fn decoded(sent: &[u8]) -> Result<DynamicImage, Refused> {
    if sent.is_empty() {
        return Err(Refused::Empty);
    }
    if sent.len() > MOST_BYTES {
        return Err(Refused::Heavy);
    }
    let mut reader = ImageReader::new(Cursor::new(sent))
        .with_guessed_format()
        .map_err(|_| Refused::Damaged)?;
    let known = [ImageFormat::Jpeg, ImageFormat::Png, ImageFormat::WebP];
    if !reader.format().is_some_and(|found| known.contains(&found)) {
        return Err(Refused::Kind(named(sent)));
    }
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|_| Refused::Damaged)?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if width > MOST_SIDE || height > MOST_SIDE || pixels > MOST_PIXELS {
        return Err(Refused::Large(width, height));
    }
    // A picture whose note of its turn cannot be read is taken as it lies.
    let turn = decoder.orientation();
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|_| Refused::Damaged)?;
    if let Ok(turn) = turn {
        picture.apply_orientation(turn);
    }
    Ok(picture)
}

/// What a file is that is no picture of ours, by how it begins.
fn named(sent: &[u8]) -> &'static str {
    let brand = sent.get(4..12).unwrap_or_default();
    let begins = |with: &[u8]| sent.starts_with(with);
    if brand.starts_with(b"ftyphei") || brand.starts_with(b"ftypmif") {
        "a HEIC picture. Set the camera to take the most compatible kind"
    } else if begins(b"GIF8") {
        "a GIF picture"
    } else if begins(b"%PDF") {
        "a PDF"
    } else if begins(b"<svg") || begins(b"<?xml") {
        "an SVG drawing"
    } else {
        "not a picture that can be read"
    }
}

/// At most `longest` pixels along its longer side, never made larger; what is
/// clear is laid on white.
fn shrunk(picture: DynamicImage, longest: u32) -> RgbImage {
    let side = picture.width().max(picture.height());
    let picture = if side >= 2 * longest {
        // Far smaller: the mean of whole blocks, which needs little memory.
        picture.thumbnail(longest, longest)
    } else if side > longest {
        picture.resize(longest, longest, FilterType::Triangle)
    } else {
        picture
    };
    if picture.color().has_alpha() {
        on_white(&picture)
    } else {
        picture.into_rgb8()
    }
}

fn on_white(picture: &DynamicImage) -> RgbImage {
    let clear = picture.to_rgba8();
    let mut solid = RgbImage::new(clear.width(), clear.height());
    for (from, to) in clear.pixels().zip(solid.pixels_mut()) {
        let [red, green, blue, alpha] = from.0;
        let alpha = u32::from(alpha);
        let mixed = |part: u8| {
            let sum = u32::from(part) * alpha + 255 * (255 - alpha);
            u8::try_from(sum / 255).unwrap_or(255)
        };
        *to = Rgb([mixed(red), mixed(green), mixed(blue)]);
    }
    solid
}

/// The encoder writes picture data only: no notes, place, camera or profile.
fn written(picture: &RgbImage) -> Result<Vec<u8>, Refused> {
    let mut out = Vec::new();
    JpegEncoder::new_with_quality(&mut out, QUALITY)
        .encode_image(picture)
        .map_err(|_| Refused::Damaged)?;
    Ok(out)
}
