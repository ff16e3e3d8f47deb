/// Why clicks or pictures give no camera.
#[derive(Debug, thiserror::Error, PartialEq)]
pub enum RegisterError {
    /// A click on something the rule book does not paint.
    #[error("click {click}: {reason}")]
    NoSuchLandmark {
        /// Which click, counted from 1.
        click: usize,
        /// Why the landmark does not exist.
        reason: field::LandmarkError,
    },
    /// A click whose numbers cannot be used.
    #[error("click {click}: {name} is {value} px; it must be {limit}")]
    BadClick {
        /// Which click, counted from 1.
        click: usize,
        /// What is wrong.
        name: &'static str,
        /// Its value, px.
        value: f64,
        /// What it should be.
        limit: String,
    },
    /// A picture too small to hold a field, or empty.
    #[error("the picture is {width} x {height} px; at least 64 x 64 px is needed")]
    BadPicture {
        /// Width, px.
        width: u32,
        /// Height, px.
        height: u32,
    },
    /// Fewer equations than unknowns.
    #[error(
        "the clicks give {equations} equations (2 for a crossing or corner, 1 for a point on a line); at least {needed} are needed"
    )]
    TooFew {
        /// Given.
        equations: usize,
        /// Needed.
        needed: usize,
    },
    /// Enough equations, but in an arrangement that leaves the camera free.
    #[error("the clicks do not fix the camera: {reason}")]
    Degenerate {
        /// What is free and what to click next.
        reason: String,
    },
    /// No camera of the kind asked for agrees with all clicks.
    #[error(
        "the clicks contradict each other: click {click} is {residual_px:.1} px from where the other clicks put it; limit {limit_px:.1} px{}",
        alternatives(or)
    )]
    Contradictory {
        /// The click that fits worst with the others, counted from 1.
        click: usize,
        /// Its distance from where the others put it, px.
        residual_px: f64,
        /// Distance allowed, px.
        limit_px: f64,
        /// RMS residual with all clicks, px.
        rms_px: f64,
        /// Other clicks that could as well be the wrong one, counted from 1.
        or: Vec<usize>,
    },
    /// Clicks that contradict each other, where too few are left to say which is wrong.
    #[error(
        "the clicks contradict each other ({rms_px:.1} px RMS; limit {limit_px:.1} px), and there are too few to tell which is wrong; click {click} fits worst"
    )]
    ContradictoryUntraced {
        /// The click with the largest residual, counted from 1.
        click: usize,
        /// RMS residual, px.
        rms_px: f64,
        /// RMS allowed, px.
        limit_px: f64,
    },
}

fn alternatives(or: &[usize]) -> String {
    if or.is_empty() {
        return String::new();
    }
    let list = or.iter().map(usize::to_string).collect::<Vec<_>>().join(", ");
    format!(" (as well explained by a wrong click {list}; one more click would tell)")
}
