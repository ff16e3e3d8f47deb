//! Invented passers as lines of facts: no play is simulated, only what is known of plays afterwards. A generator of its own; the
//! answers never see its truth.

use patterns::facts::{Cell, Line};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use stats::Estimate;

/// What a passer does, as a change of his log odds of completing (or of yards a degree).
#[derive(Clone, Copy, Debug, Default)]
pub struct Habits {
    pub pressure: f64,
    pub deep: f64,
    pub man: f64,
    /// Yards that he misses to the open side for each degree his feet are open.
    pub feet: f64,
    /// Log odds of a sound decision the first time a picture is shown.
    pub first: f64,
}

/// Chances to come.
pub struct Dice(ChaCha8Rng);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }
    pub fn yes(&mut self, p: f64) -> bool {
        self.0.random::<f64>() < p
    }
    /// Standard normal, by Box and Muller.
    pub fn z(&mut self) -> f64 {
        let (u, v): (f64, f64) = (self.0.random::<f64>().max(1e-300), self.0.random());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
    fn pick<'w>(&mut self, words: &[(&'w str, f64)]) -> &'w str {
        let mut u: f64 = self.0.random();
        for (w, p) in words {
            if u < *p {
                return w;
            }
            u -= p;
        }
        words[words.len() - 1].0
    }
}

pub fn share(eta: f64) -> f64 {
    1.0 / (1.0 + (-eta).exp())
}

/// Error of a measured feet angle, degrees, and of a miss, yd: what motion's own figures claim.
const FEET_SE: f64 = 5.0;
const MISS_SE: f64 = 0.35;

/// The throws of a passer over `games` games of `each`.
pub fn throws(h: Habits, games: usize, each: usize, dice: &mut Dice) -> Vec<Line> {
    let mut lines = Vec::new();
    for g in 0..games {
        // Opponents differ.
        let day = 0.25 * dice.z();
        for k in 0..each {
            let mut l = Line {
                play: format!("g{g}p{k}").into(),
                game: format!("g{g}").into(),
                number: k as u32 + 1,
                cells: Default::default(),
            };
            let mut word = |f: &str, w: &str| l.put(f, Cell::Word(w.to_owned()));
            let pressed = dice.yes(0.3);
            let depth = dice.pick(&[
                ("behind the line", 0.12),
                ("short, under 10", 0.45),
                ("10 to 19", 0.27),
                ("deep, 20 and more", 0.16),
            ]);
            let man = dice.yes(0.4);
            let first = dice.yes(0.4);
            word("game", &format!("Game {}", g + 1));
            word("early-late", if 2 * k < each { "the earlier ones" } else { "the later ones" });
            word("pressure", if pressed { "pressured" } else { "clean" });
            word("depth", depth);
            word("man-zone", if man { "man" } else { "zone" });
            word("picture", if first { "first time" } else { "seen before" });
            word("direction", dice.pick(&[("left", 0.3), ("middle", 0.4), ("right", 0.3)]));
            word("middle", dice.pick(&[("open", 0.45), ("closed", 0.55)]));
            word("tempo", dice.pick(&[("quicker", 0.25), ("on time", 0.5), ("later", 0.25)]));
            word("on-the-move", if dice.yes(0.15) { "on the move" } else { "from his spot" });
            word("look", dice.pick(&[("first look", 0.55), ("second look", 0.25), ("later look", 0.2)]));
            let on = |yes: bool, d: f64| if yes { d } else { 0.0 };
            let eta =
                0.6 + day + on(pressed, h.pressure) + on(man, h.man) + on(depth.starts_with("deep"), h.deep);
            let complete = dice.yes(share(eta));
            word("completions", if complete { "yes" } else { "no" });
            let sound = dice.yes(share(0.9 + on(first, h.first)));
            word("sound-decision", if sound { "yes" } else { "no" });
            if !complete {
                word("high-misses", if dice.yes(0.35) { "yes" } else { "no" });
            }
            word(
                "weight-on",
                dice.pick(&[("on the back foot", 0.3), ("between", 0.4), ("on the front foot", 0.3)]),
            );
            // Now and then a measure is not seen.
            if dice.yes(0.8) {
                let feet = 9.0 * dice.z();
                let miss = h.feet * feet + 0.9 * dice.z();
                let measured = |v: f64, se: f64, z: f64| Cell::Value(Estimate::new(v + se * z, se));
                l.put("feet-error", measured(feet, FEET_SE, dice.z()));
                l.put("miss-across", measured(miss, MISS_SE, dice.z()));
            } else {
                l.put("feet-error", Cell::NotSeen("the feet are hidden".to_owned()));
                l.put("miss-across", Cell::NotSeen("the ball is not marked".to_owned()));
            }
            l.put("over-chance", Cell::Value(Estimate::new(f64::from(u8::from(complete)) - 0.62, 0.05)));
            lines.push(l);
        }
    }
    lines
}
