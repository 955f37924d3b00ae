//! Whether one piece lies inside another.

use crate::trim::sheet::{Piece, SectionPoint};

/// Where a piece begins and ends along its moulding at each corner of the
/// section, inches.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Body(Vec<(f64, f64)>);

/// How a new piece lies in an old one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Fit {
    /// They are the same.
    Same,
    /// Wholly inside, with these ends to be cut; so much of the length is
    /// wasted.
    Inside { left: bool, right: bool, waste: f64 },
    /// The old one is too short by so much, taken square to its length.
    Short(f64),
    /// Long enough, but an end is cut away by so much where wood is needed.
    Angle(f64),
}

impl Fit {
    pub(super) const fn waste(&self) -> f64 {
        match self {
            Self::Inside { waste, .. } => *waste,
            Self::Same | Self::Short(_) | Self::Angle(_) => 0.0,
        }
    }
}

/// The least and the most of some numbers.
fn range(numbers: impl Iterator<Item = f64>) -> (f64, f64) {
    numbers.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
        (low.min(x), high.max(x))
    })
}

impl Body {
    pub(super) fn of(piece: &Piece, section: &[SectionPoint]) -> Self {
        let ends = |p: &SectionPoint| {
            let left = piece.left.per_u * p.u + piece.left.per_v * p.v;
            let right = piece.right.per_u * p.u + piece.right.per_v * p.v;
            (left, piece.reference + right)
        };
        Self(section.iter().map(ends).collect())
    }

    fn overall(&self) -> f64 {
        range(self.0.iter().map(|e| e.1)).1 - range(self.0.iter().map(|e| e.0)).0
    }

    /// Its length once both ends are squared; 0 if nothing is left.
    pub(super) fn square(&self) -> f64 {
        let length = range(self.0.iter().map(|e| e.1)).0 - range(self.0.iter().map(|e| e.0)).1;
        length.max(0.0)
    }

    /// How `new` lies in this piece, moved along it as is best.
    pub(super) fn fit(&self, new: &Self, same: f64) -> Fit {
        let pairs = || self.0.iter().zip(&new.0);
        // Moved by less than any of these the new left end stands outside;
        // moved by more than any of those the new right end does.
        let left = range(pairs().map(|(old, new)| old.0 - new.0));
        let right = range(pairs().map(|(old, new)| old.1 - new.1));
        let (least, most) = (left.1, right.0);
        let whole = (left.0.min(right.0), left.1.max(right.1));
        if whole.1 - whole.0 <= same {
            return Fit::Same;
        }
        let short = new.overall() - self.overall();
        if least > most + same {
            return if short > 0.0 {
                Fit::Short(short)
            } else {
                Fit::Angle(least - most)
            };
        }
        let keeps = |end: (f64, f64)| {
            let place = (end.0 + end.1) / 2.0;
            end.1 - end.0 <= same && place >= least - same && place <= most + same
        };
        Fit::Inside {
            left: !keeps(left),
            right: keeps(left) || !keeps(right),
            waste: -short,
        }
    }
}
