//! How each ink of a scene looks on paper: grey, one red, thin enough for a
//! grey printer.

use crate::trim::draw::Ink;

/// Pen and fill of an ink: grey or red, points.
#[derive(Clone, Copy)]
pub(super) struct Pen {
    pub(super) line: Option<(f64, [f32; 3])>,
    pub(super) fill: Option<[f32; 3]>,
    pub(super) dash: bool,
}

pub(super) const INK: [f32; 3] = [0.1, 0.1, 0.1];
const SOFT: [f32; 3] = [0.4, 0.4, 0.4];
const RED: [f32; 3] = [0.66, 0.16, 0.12];

pub(super) fn pen(ink: Ink) -> Pen {
    let line = |width: f64, colour| Pen {
        line: Some((width, colour)),
        fill: None,
        dash: false,
    };
    let area = |grey: f32, line| Pen {
        line,
        fill: Some([grey, grey, grey]),
        dash: false,
    };
    match ink {
        Ink::Outline => line(1.35, INK),
        Ink::Line => line(0.75, INK),
        Ink::Hair => line(0.4, INK),
        Ink::Dash => Pen {
            dash: true,
            ..line(0.5, SOFT)
        },
        Ink::Accent => line(1.6, RED),
        Ink::AccentHair => line(0.5, RED),
        Ink::Hatch => line(0.4, SOFT),
        Ink::Bed | Ink::Board => area(0.98, Some((0.5, INK))),
        Ink::Fence | Ink::EndGrain => area(0.82, None),
        Ink::Wood => area(0.93, Some((0.5, INK))),
        Ink::Shade => area(0.85, Some((0.5, INK))),
        Ink::Light | Ink::Kept => area(0.97, Some((0.5, INK))),
        Ink::Kerf => area(0.9, None),
        Ink::Paper => area(1.0, Some((0.4, SOFT))),
        Ink::Spot | Ink::AccentText => Pen {
            line: None,
            fill: Some(RED),
            dash: false,
        },
        Ink::Dot | Ink::Text | Ink::Figure | Ink::Strong => Pen {
            line: None,
            fill: Some(INK),
            dash: false,
        },
        Ink::Quiet => Pen {
            line: None,
            fill: Some(SOFT),
            dash: false,
        },
    }
}
