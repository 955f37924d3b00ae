//! Angles: one type for each meaning, radians inside, degrees at the edges.

/// Radians as degrees for people, with no negative zero.
#[must_use]
pub fn degrees(radians: f64) -> f64 {
    radians.to_degrees() + 0.0
}

macro_rules! angle {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// From radians.
            #[must_use]
            pub const fn from_radians(radians: f64) -> Self {
                Self(radians)
            }

            /// From degrees.
            #[must_use]
            pub fn from_degrees(degrees: f64) -> Self {
                Self(degrees.to_radians())
            }

            /// Radians.
            #[must_use]
            pub const fn radians(self) -> f64 {
                self.0
            }

            /// Degrees.
            #[must_use]
            pub fn degrees(self) -> f64 {
                degrees(self.0)
            }
        }
    };
}

angle!(
    /// How far a rake rises from level.
    Pitch
);
angle!(
    /// How far a path turns at a corner; the angle *between* two walls is
    /// half a turn less this.
    Turn
);
angle!(
    /// Half of a turn: what each of two mating pieces is cut to, measured
    /// from square. Lies on the work, not on the saw.
    MitreAngle
);
angle!(
    /// What is set on the saw, from square or from upright.
    SawAngle
);
angle!(
    /// Between a sprung crown's flat back and the *wall* (not the ceiling).
    SpringAngle
);

impl Turn {
    /// The mitre that closes a corner with this turn.
    #[must_use]
    pub fn mitre(self) -> MitreAngle {
        MitreAngle(self.0 / 2.0)
    }

    /// The turn at a corner where two walls stand at `between`, radians.
    #[must_use]
    pub fn from_wall_angle(between: f64) -> Self {
        Self(std::f64::consts::PI - between)
    }
}

impl MitreAngle {
    /// The turn that two such mitres make.
    #[must_use]
    pub fn turn(self) -> Turn {
        Turn(self.0 * 2.0)
    }
}
