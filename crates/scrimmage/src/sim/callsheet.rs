//! Which play is called against which defense, by situation and chance, with pictures that come again.

use super::concept::Concept;
use super::coverage::{Call, Coverage};
use super::dice::Dice;
use super::formation::Set;
use super::script::{Fault, Protection};
use super::season::{GAMES, game_seed};

/// A picture: what the passer sees when he comes to the line, and what he does about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Concept.
    pub concept: Concept,
    /// Set.
    pub set: Set,
    /// +1: strong side left.
    pub strong: f64,
    /// Gun.
    pub gun: bool,
    /// Read plan, an index into the concept's.
    pub plan: usize,
    /// Defense.
    pub call: Call,
    /// Protection.
    pub protection: Protection,
    /// Fault.
    pub fault: Fault,
    /// Untidy feet.
    pub untidy: f64,
    /// Motion.
    pub motion: bool,
    /// Number of the picture when it comes again.
    pub repeats: Option<u32>,
}

/// Pictures that come again: concept, coverage, rushers, and the passer's faults the first, second and third time of each game of
/// the season. He learns the first three, each in his own time; the last he does not learn.
const AGAIN: [(Concept, Coverage, u8, [[Fault; 3]; GAMES]); 4] = [
    (
        Concept::CurlFlat,
        Coverage::ThreeDeep,
        4,
        [[Fault::Late, Fault::None, Fault::None], [Fault::None; 3], [Fault::None; 3]],
    ),
    (
        Concept::Smash,
        Coverage::TwoDeep,
        4,
        [
            [Fault::WrongMan, Fault::WrongMan, Fault::None],
            [Fault::WrongMan, Fault::None, Fault::None],
            [Fault::None; 3],
        ],
    ),
    (
        Concept::SlantFlat,
        Coverage::Zero,
        6,
        [[Fault::NoAnswer, Fault::None, Fault::None], [Fault::None; 3], [Fault::None; 3]],
    ),
    (
        Concept::PostDig,
        Coverage::Quarters,
        4,
        [[Fault::Forced, Fault::None, Fault::Late], [Fault::Late; 3], [Fault::Late; 3]],
    ),
];

/// Calls through a game.
pub struct CallSheet {
    season: u64,
    /// From 0.
    game: usize,
    dice: Dice,
    order: Vec<Concept>,
    coverages: Vec<Coverage>,
    called: usize,
}

impl CallSheet {
    /// Of a season's game, from 0.
    pub fn new(season: u64, game: usize) -> Self {
        let dice = Dice::new(game_seed(season, game), 11);
        Self { season, game, dice, order: Vec::new(), coverages: Vec::new(), called: 0 }
    }

    /// The next call, `to_go` yards from the goal.
    pub fn next(&mut self, to_go: f64, distance: f64) -> Picture {
        let n = self.called;
        self.called += 1;
        // Every third call or so comes from the list of pictures that come again; deep ones only where there is room.
        if n % 3 == 1 {
            let k = (n / 3) % AGAIN.len();
            let round = (n / 3) / AGAIN.len();
            if round < 3 && to_go > 24.0 {
                return self.again(k, round);
            }
        }
        let concept = self.concept(to_go, distance);
        let coverage = self.coverage();
        let scheme = concept.scheme();
        let d = &mut self.dice;
        let rushers = match coverage {
            Coverage::Zero => 6,
            Coverage::ManFree | Coverage::ThreeDeep => *d.pick(&[4, 4, 5, 5]),
            _ => *d.pick(&[3, 4, 4, 4]),
        };
        let shown = if d.chance(0.35) {
            *d.pick(&[Coverage::TwoDeep, Coverage::Quarters, Coverage::ThreeDeep])
        } else {
            coverage
        };
        let blockers = *d.pick(&[5, 5, 5, 6, 6, 7]);
        let bust = rushers <= 5 && d.chance(0.16);
        let pressured = bust || rushers > blockers;
        let fault = match d.unit() {
            u if pressured && u < 0.45 => Fault::NoAnswer,
            u if u < 0.52 => Fault::None,
            u if u < 0.70 => Fault::Late,
            u if u < 0.84 => Fault::WrongMan,
            u if u < 0.96 => Fault::Forced,
            _ => Fault::None,
        };
        Picture {
            concept,
            set: *d.pick(&scheme.sets),
            strong: if d.chance(0.55) { 1.0 } else { -1.0 },
            gun: d.chance(0.75),
            plan: d.below(scheme.plans.len()),
            call: Call { coverage, shown, rushers, press: d.chance(0.45) },
            protection: Protection { blockers, bust },
            fault,
            untidy: (d.unit() * d.unit() * 1.3).min(1.0),
            motion: d.chance(0.25),
            repeats: None,
        }
    }

    fn again(&mut self, k: usize, round: usize) -> Picture {
        let (concept, coverage, rushers, faults) = AGAIN[k];
        // The picture itself is drawn once in a season; only feet change.
        let mut d = Dice::new(self.season, 100 + k as u64);
        let scheme = concept.scheme();
        Picture {
            concept,
            set: scheme.sets[0],
            strong: if d.chance(0.5) { 1.0 } else { -1.0 },
            gun: concept != Concept::PostDig,
            plan: 0,
            call: Call { coverage, shown: coverage, rushers, press: d.chance(0.3) },
            protection: Protection { blockers: 5, bust: false },
            fault: faults[self.game][round],
            untidy: (0.7 - 0.25 * round as f64 + self.dice.normal(0.1)).clamp(0.0, 1.0),
            motion: false,
            repeats: Some(k as u32 + 1),
        }
    }

    fn concept(&mut self, to_go: f64, distance: f64) -> Concept {
        if self.order.is_empty() {
            self.order = Concept::ALL.to_vec();
            for i in (1..self.order.len()).rev() {
                let j = self.dice.below(i + 1);
                self.order.swap(i, j);
            }
        }
        let fits = |c: Concept| {
            let short = matches!(
                c,
                Concept::SlantFlat
                    | Concept::Stick
                    | Concept::Snag
                    | Concept::DoubleSlants
                    | Concept::Hitches
                    | Concept::SlotFade
                    | Concept::CurlFlat
                    | Concept::Mesh
            );
            let deep =
                matches!(c, Concept::FourVerticals | Concept::Dagger | Concept::PostDig | Concept::Flood);
            if to_go < 16.0 {
                short && c != Concept::CurlFlat
            } else if to_go < 30.0 {
                !deep
            } else {
                distance < 14.0 || !matches!(c, Concept::Stick | Concept::SlantFlat)
            }
        };
        let k = self.order.iter().position(|&c| fits(c));
        match k {
            Some(k) => self.order.remove(k),
            None => Concept::Stick,
        }
    }

    fn coverage(&mut self) -> Coverage {
        if self.coverages.is_empty() {
            self.coverages = vec![
                Coverage::ThreeDeep,
                Coverage::ManFree,
                Coverage::Quarters,
                Coverage::TwoMan,
                Coverage::TwoDeep,
                Coverage::ManFree,
                Coverage::Zero,
                Coverage::ThreeDeep,
            ];
            for i in (1..self.coverages.len()).rev() {
                let j = self.dice.below(i + 1);
                self.coverages.swap(i, j);
            }
        }
        self.coverages.pop().expect("refilled above")
    }
}
