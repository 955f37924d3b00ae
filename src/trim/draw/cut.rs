//! The picture of one cut: the saw from above with the stock as it is held,
//! the end of the stock, and the blade from the front where it leans. All of
//! it comes from the solved cut plane and the hold, never from a fixed image.

use crate::trim::sheet::{Cut, Piece, SolvedRun};
use crate::trim::words::{
    degrees_text, lay_words, point_words, shows_as_zero, swing_words, tilt_words,
};

use super::cut_top::top_view;
use super::cut_views::{blade_view, end_view, hold_lines};
use super::held::{Held, held};
use super::scene::{Anchor, At, Ink, Scene, at};
use super::{LengthWords, SMALL, short};

/// Which end of a piece, along the wall from the left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum End {
    /// Where the leg starts.
    Left,
    /// Where it ends.
    Right,
}

/// What is at the far end of the kept part when the cut is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FarEnd {
    /// The stick runs on.
    Stick,
    /// The piece's other end has been cut already.
    Cut,
}

/// How a cut picture is made.
#[derive(Debug, Clone, Copy)]
pub struct CutLook {
    /// Units across: under 560 one above the other for a phone or a narrow
    /// column (360 units), else side by side (600 units).
    pub width_px: f64,
    /// What the blade eats, inches.
    pub kerf: f64,
    /// `None`: the left end is cut before the right, as in the walk order.
    pub far: Option<FarEnd>,
    /// Lengths in words.
    pub length: LengthWords,
    /// Swing and tilt that the saw's scale must show, radians, where they
    /// are not the cut's own.
    pub dial: Option<(f64, f64)>,
}

impl CutLook {
    /// A phone, or a column of a printed sheet.
    pub const PHONE: Self = Self {
        width_px: 360.0,
        kerf: 0.125,
        far: None,
        length: crate::trim::words::sixteenths,
        dial: None,
    };
    /// A screen.
    pub const WIDE: Self = Self {
        width_px: 600.0,
        ..Self::PHONE
    };
}

/// What the parts of one picture share.
pub(super) struct Frame<'a> {
    pub held: &'a Held,
    pub cut: &'a Cut,
    pub piece: &'a Piece,
    pub look: &'a CutLook,
    pub far: FarEnd,
    /// Whether the blade leans enough to show.
    pub leans: bool,
}

impl Frame<'_> {
    /// On which side of the blade the kept part lies: +1 right, −1 left. It
    /// runs towards the operator along a block, so there the blade's own
    /// swing tells.
    pub(super) fn kept_side(&self) -> f64 {
        match self.cut.setting.block {
            None => self.held.kept,
            Some(_) if self.cut.setting.swing < 0.0 => 1.0,
            Some(_) => -1.0,
        }
    }
}

/// The picture of the cut at `end` of `piece`, a piece of `run`.
///
/// In the view `saw` a place (x, y) in inches is x right along the fence
/// from where the tape hooks, y towards the fence from the stock's fence
/// side; for stock against a block, x from the block's face and y from where
/// the tape hooks. Parts: `fence`, `bed`, `block`, `kept`, `waste`, `kerf`, `blade`, `square`,
/// `swing`, `hook`, `tape`; in the view `end`: `section`, `hook`; in the
/// view `blade`, only when it leans: `tilt`. A piece that is not finite
/// gives a picture that says so.
#[must_use]
pub fn cut_picture(run: &SolvedRun, piece: &Piece, end: End, look: &CutLook) -> Scene {
    let (cut, side) = match end {
        End::Left => (&piece.left, "left end"),
        End::Right => (&piece.right, "right end"),
    };
    let label = short(&piece.label, 24);
    let setting = cut.setting;
    let leans = !shows_as_zero(setting.tilt);
    let mut title = format!("{label}, {side}: {}", swing_words(setting.swing));
    if leans {
        title = format!("{title}, {}", tilt_words(setting.tilt));
    }
    // A block is for cuts that slant across the stock; a square one would
    // run along the blade.
    let slants = |held: &Held| setting.block.is_none() || held.cut.by_y.abs() > 0.01;
    let Some(held) = held(run, piece, end).filter(slants) else {
        return nothing(title);
    };
    let (lies, to) = match (setting.block, held.kept > 0.0) {
        (Some(_), _) => ("towards you from", "towards you"),
        (None, true) => ("right of", "to the right"),
        (None, false) => ("left of", "to the left"),
    };
    let desc = format!(
        "The saw from above. Stock {}. The kept part lies {lies} the blade; \
         the tape hooks on the mark and runs {to}, {}. Measured edge: {}.",
        lay_words(&setting),
        (look.length)(piece.tape),
        point_words(cut.point),
    );
    let far = look.far.unwrap_or(match end {
        End::Left => FarEnd::Stick,
        End::Right => FarEnd::Cut,
    });
    let frame = Frame {
        held: &held,
        cut,
        piece,
        look,
        far,
        leans,
    };
    let mut scene = Scene::new(title, desc, 360.0, 0.0);
    let top = headline(&mut scene, side, &frame);
    let bottom = top_view(&mut scene, &frame, top);
    if look.width_px < 560.0 {
        scene.height = below(&mut scene, &frame, bottom + 14.0);
    } else {
        scene.width = 600.0;
        scene.height = beside(&mut scene, &frame, 8.0).max(bottom) + 4.0;
    }
    scene
}

/// Which end, and what to set in large figures; under a figure that is not
/// the cut's own, the true angle. Returns the height used.
fn headline(scene: &mut Scene, side: &'static str, frame: &Frame<'_>) -> f64 {
    scene.text(Ink::Quiet, at(10.0, 23.0), SMALL, Anchor::Start, side);
    let setting = frame.cut.setting;
    let (swing, tilt) = frame.look.dial.unwrap_or((setting.swing, setting.tilt));
    let mut place = at(350.0, 24.0);
    place = figure(scene, place, swing_words(swing), (swing, setting.swing));
    if frame.leans || !shows_as_zero(tilt) {
        place = figure(scene, place, tilt_words(tilt), (tilt, setting.tilt));
    }
    place.y - 15.0
}

/// One large figure; returns where the next one stands.
fn figure(scene: &mut Scene, place: At, words: String, (dial, own): (f64, f64)) -> At {
    scene.text(Ink::Strong, place, 21.0, Anchor::End, words);
    if dial.to_bits() == own.to_bits() {
        return place.moved(0.0, 25.0);
    }
    let under = place.moved(0.0, 19.0);
    let words = format!("on the scale, for {}", degrees_text(own));
    scene.text(Ink::Quiet, under, SMALL, Anchor::End, words);
    under.moved(0.0, 26.0)
}

/// The small views under the top view, for a phone.
fn below(scene: &mut Scene, frame: &Frame<'_>, y: f64) -> f64 {
    let corner = at(10.0, y);
    let base = end_view(scene, frame, corner, (164.0, 92.0));
    if frame.leans {
        let base = blade_view(scene, frame, at(190.0, y), (160.0, 92.0)).max(base);
        hold_lines(scene, frame, at(10.0, base + 22.0), 340.0) + 4.0
    } else {
        let words = hold_lines(scene, frame, at(190.0, y + 14.0), 162.0);
        base.max(words) + 6.0
    }
}

/// The small views beside the top view, for a screen.
fn beside(scene: &mut Scene, frame: &Frame<'_>, y: f64) -> f64 {
    let left = 380.0;
    let mut base = end_view(scene, frame, at(left, y), (210.0, 92.0));
    if frame.leans {
        base = blade_view(scene, frame, at(left, base + 14.0), (210.0, 92.0));
    }
    hold_lines(scene, frame, at(left, base + 24.0), 214.0)
}

/// What is shown where there is nothing to draw.
fn nothing(title: String) -> Scene {
    let desc = "These numbers give no piece to draw.".to_owned();
    let mut scene = Scene::new(title, desc, 360.0, 60.0);
    let words = "no piece to draw";
    scene.text(Ink::Quiet, at(180.0, 36.0), SMALL, Anchor::Middle, words);
    scene
}
