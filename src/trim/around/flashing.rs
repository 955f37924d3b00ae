//! Head flashing: the strip of metal bent over the cap.

/// To stand beside every flashing.
pub const CAUTION: &str = "The flashing runs unbroken over the top of the head, tucks behind the \
    weather barrier, slopes out and turns down to a drip; ends turn up as dams. Leave 1/4 to 3/8 \
    in clear above it, and never caulk the weep line at the head. Figures are practitioners', not \
    code: the window maker, then the flashing maker, then local code decide. Sheet metal is sharp: \
    gloves and eyes.";

/// A flashing's measures, inches and radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadFlashing {
    /// Length of the cap that it covers, end to end.
    pub length: f64,
    /// Level distance from the wall to the cap's front.
    pub depth: f64,
    /// Slope of its top, from level, falling out. Practitioners name 5 to 7
    /// degrees or 1 in 6 (seen quoted).
    pub slope: f64,
    /// Up the wall, behind the barrier.
    pub upstand: f64,
    /// How far its front edge stands past the cap before it turns down.
    pub past: f64,
    /// Down over the cap's front.
    pub drip: f64,
    /// Edge turned back under itself; 0 for none.
    pub hem: f64,
    /// Height of the dam turned up at each end. 1/2 to 3/4 in on metal (seen
    /// quoted).
    pub dam: f64,
}

/// What to cut and bend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blank {
    /// Flat width of the strip: upstand, top, drip and hem.
    pub developed_width: f64,
    /// Length of the strip with its dams laid flat.
    pub blank_length: f64,
    /// Distances of the bends from the wall edge: top of the slope, front
    /// edge, lower edge of the drip.
    pub bends: [f64; 3],
    /// How much the top falls from the wall to its front.
    pub fall: f64,
    /// Metal needed, square inches.
    pub area: f64,
}

/// Why a flashing cannot be bent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum FlashingError {
    /// A measure is below 0 or not a number, or one that must be there is 0.
    #[error("length, depth and upstand must be more than 0, the rest 0 or more")]
    Measure,
    /// The slope does not fall out.
    #[error("the slope must fall out by more than 0 and less than 60 degrees")]
    Slope,
}

impl HeadFlashing {
    /// The blank. Bends are taken as sharp: thin metal.
    ///
    /// # Errors
    /// If a measure or the slope is out of bounds.
    pub fn blank(&self) -> Result<Blank, FlashingError> {
        let there = [self.length, self.depth, self.upstand];
        let may_be = [self.past, self.drip, self.hem, self.dam];
        let fits = |x: &f64, least: bool| x.is_finite() && (*x > 0.0 || (least && *x == 0.0));
        if !(there.iter().all(|x| fits(x, false)) && may_be.iter().all(|x| fits(x, true))) {
            return Err(FlashingError::Measure);
        }
        if !(self.slope > 0.0 && self.slope < 60_f64.to_radians()) {
            return Err(FlashingError::Slope);
        }
        let out = self.depth + self.past;
        let top = self.upstand + out / self.slope.cos();
        let developed_width = top + self.drip + self.hem;
        let blank_length = self.length + 2.0 * self.dam;
        Ok(Blank {
            developed_width,
            blank_length,
            bends: [self.upstand, top, top + self.drip],
            fall: out * self.slope.tan(),
            area: developed_width * blank_length,
        })
    }
}
