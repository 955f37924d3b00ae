//! The demo's photos: an invented house front, drawn here, before and after.

use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder as _, Rgb, RgbImage};

use super::model::{NewPhoto, PhotoFacts, PhotoId, PhotoKind};
use super::{develop, files, store};
use crate::access::{self, Made};
use crate::clients::seed_user;
use crate::heads;
use crate::jobs::seeded_jobs;
use crate::openings::{self, OpeningId};
use crate::web::{AppState, WebError};

const SKY: Rgb<u8> = Rgb([205, 220, 230]);
const BOARDS: Rgb<u8> = Rgb([178, 189, 180]);
const SHADE: Rgb<u8> = Rgb([140, 152, 143]);
const TRIM: Rgb<u8> = Rgb([246, 243, 234]);
const GLASS: Rgb<u8> = Rgb([74, 92, 108]);
const RAW: Rgb<u8> = Rgb([150, 118, 84]);

/// A box in parts of 100 of the picture's width and height.
fn fill(picture: &mut RgbImage, (x0, y0, x1, y1): (u32, u32, u32, u32), ink: Rgb<u8>) {
    let (width, height) = picture.dimensions();
    for y in y0 * height / 100..(y1 * height / 100).min(height) {
        for x in x0 * width / 100..(x1 * width / 100).min(width) {
            picture.put_pixel(x, y, ink);
        }
    }
}

/// A clapboard wall with a window: with the bare wall above it, with the old
/// boards, or with a gabled head.
fn drawn(kind: PhotoKind) -> RgbImage {
    let mut picture = RgbImage::from_pixel(800, 600, SKY);
    fill(&mut picture, (0, 6, 100, 100), BOARDS);
    for row in 0..19 {
        fill(&mut picture, (0, 10 + row * 5, 100, 11 + row * 5), SHADE);
    }
    fill(&mut picture, (32, 40, 68, 96), TRIM);
    fill(&mut picture, (36, 44, 64, 92), GLASS);
    fill(&mut picture, (49, 44, 51, 92), TRIM);
    fill(&mut picture, (36, 67, 64, 69), TRIM);
    match kind {
        PhotoKind::Wall => fill(&mut picture, (28, 20, 72, 40), RAW),
        PhotoKind::After => gable(&mut picture),
        PhotoKind::Before | PhotoKind::Found => {}
    }
    picture
}

fn gable(picture: &mut RgbImage) {
    fill(picture, (28, 33, 72, 40), TRIM);
    for step in 0..18 {
        let (left, right) = (38 + step * 2 / 3, 62 - step * 2 / 3);
        fill(picture, (left, 32 - step, right, 33 - step), TRIM);
    }
    fill(picture, (26, 31, 39, 33), SHADE);
    fill(picture, (61, 31, 74, 33), SHADE);
    for (x0, x1) in [(30, 33), (67, 70)] {
        fill(picture, (x0, 40, x1, 48), TRIM);
    }
}

fn sent(kind: PhotoKind) -> Result<Vec<u8>, WebError> {
    let picture = drawn(kind);
    let (width, height) = picture.dimensions();
    let mut out = Vec::new();
    PngEncoder::new(&mut out)
        .write_image(&picture, width, height, ExtendedColorType::Rgb8)
        .map_err(WebError::internal)?;
    Ok(out)
}

/// One opening's photos of the demo, put in one after the other.
struct Roll<'a> {
    app: &'a AppState,
    made: Made,
    opening: OpeningId,
    head: Option<heads::HeadId>,
}

impl Roll<'_> {
    async fn add(
        &self,
        (kind, caption): (PhotoKind, &str),
        beside: Option<PhotoId>,
    ) -> Result<PhotoId, WebError> {
        let print = develop(&sent(kind)?).map_err(WebError::internal)?;
        let new = NewPhoto {
            opening: self.opening,
            head: self.head.filter(|_| kind != PhotoKind::Before),
            facts: PhotoFacts {
                kind,
                caption: caption.to_owned(),
                beside,
            },
            name: files::fresh_name(self.app)?,
            size: print.size,
        };
        files::keep(self.app, &new.name, print).await?;
        let mut tx = self.app.db().write().await?;
        let id = store::add_photo(&mut tx, self.made, &new).await?;
        tx.commit().await?;
        Ok(id)
    }
}

/// Puts photos of the first two openings of the first job in.
pub(super) async fn seed(app: AppState) -> Result<(), WebError> {
    let pool = app.db().read();
    let by = seed_user(&access::people(pool).await?, "carpenter-1");
    let made = Made { at: app.now(), by };
    let Some(job) = seeded_jobs(&app).await?.get("saltmarsh").copied() else {
        return Ok(());
    };
    for opening in openings::openings_of(pool, job, false)
        .await?
        .iter()
        .take(2)
    {
        let heads = heads::of_opening(pool, opening.id.get()).await?;
        let roll = Roll {
            app: &app,
            made,
            opening: opening.id,
            head: heads.first().map(|card| card.id),
        };
        let before = (PhotoKind::Before, "From the street");
        let before = roll.add(before, None).await?;
        let wall = (PhotoKind::Wall, "Sheathing dry, old nails out");
        roll.add(wall, None).await?;
        let after = (PhotoKind::After, "Hung and flashed, before paint");
        roll.add(after, Some(before)).await?;
    }
    Ok(())
}
