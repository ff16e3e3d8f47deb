//! What the eleven without the ball do: who rushes, who covers whom or what, and how they stand before the snap.

use super::formation::Who;
use super::plane::P2;
use serde::{Deserialize, Serialize};

/// A coverage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the trade's words")]
pub enum Coverage {
    TwoDeep,
    Quarters,
    ThreeDeep,
    ManFree,
    TwoMan,
    Zero,
}

impl Coverage {
    /// All.
    pub const ALL: [Self; 6] =
        [Self::TwoDeep, Self::Quarters, Self::ThreeDeep, Self::ManFree, Self::TwoMan, Self::Zero];
    /// The trade's word.
    pub fn word(self) -> &'static str {
        match self {
            Self::TwoDeep => "two-deep zone",
            Self::Quarters => "quarters",
            Self::ThreeDeep => "three-deep",
            Self::ManFree => "man-free",
            Self::TwoMan => "two-man",
            Self::Zero => "zero",
        }
    }
    /// Deep safeties it shows when not disguised.
    pub fn high(self) -> u8 {
        match self {
            Self::TwoDeep | Self::Quarters | Self::TwoMan => 2,
            Self::ThreeDeep | Self::ManFree => 1,
            Self::Zero => 0,
        }
    }
    /// Whether the eligible are covered man for man.
    pub fn man(self) -> bool {
        matches!(self, Self::ManFree | Self::TwoMan | Self::Zero)
    }
}

/// What a defender does after the snap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Task {
    /// Goes for the passer, aimed at a point `gap` yd to the offense's left of the ball as he crosses the line.
    Rush {
        /// y at the line of scrimmage, yd.
        gap: f64,
    },
    /// Takes a receiver from the side `leverage` (+1: stands to the offense's left of him).
    Man {
        /// Whom.
        on: Who,
        /// Side, −1 to 1.
        leverage: f64,
    },
    /// Holds a place and takes who comes there.
    Zone {
        /// Landmark.
        at: P2,
        /// Half width he answers for, yd.
        reach: f64,
        /// Stays deeper than the deepest man near him.
        deep: bool,
    },
}

/// A defender.
#[derive(Clone, Debug, PartialEq)]
pub struct Defender {
    /// `def-lde`, `def-mike`, `def-cb-left` ... (left and right are the offense's).
    pub id: &'static str,
    /// Before the snap.
    pub at: P2,
    /// After it.
    pub task: Task,
}

/// A defense for one play.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Call {
    /// Played.
    pub coverage: Coverage,
    /// Shown before the snap.
    pub shown: Coverage,
    /// Rush count, 3 to 6.
    pub rushers: u8,
    /// Corners press.
    pub press: bool,
}

/// The eleven against receivers at `eligible` with the strong side `strong` (+1 the offense's left).
pub fn line_up(
    call: &Call,
    eligible: &[(Who, P2)],
    strong: f64,
    edges: (f64, f64),
    goal_x: f64,
) -> Vec<Defender> {
    let find = |w: Who| eligible.iter().find(|e| e.0 == w).map(|e| e.1);
    // Near the goal the deep men have no more room than the end zone.
    let deepest = goal_x + 8.0;
    let cap = |x: f64| x.min(deepest);
    let numbers = |side: f64| if side > 0.0 { edges.0 - 9.0 } else { edges.1 + 9.0 };
    let mut out: Vec<Defender> = Vec::with_capacity(11);
    let ends = [("def-lde", 3.9), ("def-ldt", 1.0), ("def-rdt", -1.0), ("def-rde", -3.9)];
    for (id, y) in ends {
        out.push(Defender { id, at: P2::new(1.0, y), task: Task::Rush { gap: y * 1.15 } });
    }
    let shown_high = call.shown.high();
    let box_depth = if call.coverage == Coverage::Zero || call.rushers >= 6 { 3.6 } else { 4.6 };
    let slot = |side: f64| {
        let w = if side == strong { Who::Strong(2) } else { Who::Weak(2) };
        find(w)
    };
    let nickel_y = slot(strong).map_or(strong * 6.5, |p| p.y - strong * 0.6);
    out.push(Defender {
        id: "def-mike",
        at: P2::new(box_depth, strong * 1.3),
        task: Task::Zone { at: P2::new(9.0, strong * 1.0), reach: 6.0, deep: false },
    });
    out.push(Defender {
        id: "def-will",
        at: P2::new(box_depth, -strong * 3.0),
        task: Task::Zone { at: P2::new(8.0, -strong * 7.5), reach: 5.0, deep: false },
    });
    out.push(Defender {
        id: "def-nickel",
        at: P2::new(4.8, nickel_y),
        task: Task::Zone { at: P2::new(8.0, strong * 8.5), reach: 5.0, deep: false },
    });
    for (id, side) in [("def-cb-left", 1.0), ("def-cb-right", -1.0)] {
        let w = if side == strong { Who::Strong(1) } else { Who::Weak(1) };
        let r = find(w).unwrap_or(P2::new(-1.0, side * 14.0));
        let (x, lever) = match (call.coverage, call.press) {
            (Coverage::TwoMan, _) | (Coverage::ManFree | Coverage::Zero, true) => (1.3, -side),
            (Coverage::ManFree | Coverage::Zero, false) => (5.5, -side),
            (Coverage::TwoDeep, _) => (5.0, side),
            (Coverage::Quarters, _) => (7.0, -side * 0.5),
            (Coverage::ThreeDeep, _) => (7.0, side * 0.6),
        };
        out.push(Defender {
            id,
            at: P2::new(x, r.y + lever * 0.9),
            task: Task::Zone { at: r, reach: 6.0, deep: true },
        });
    }
    let (ss, fs) = match shown_high {
        2 => (P2::new(cap(11.5), strong * 9.0), P2::new(cap(11.5), -strong * 9.0)),
        1 => (P2::new(7.5, strong * 7.0), P2::new(cap(13.0), 0.0)),
        _ => (P2::new(6.0, strong * 5.0), P2::new(7.0, -strong * 4.5)),
    };
    out.push(Defender { id: "def-ss", at: ss, task: Task::Zone { at: ss, reach: 8.0, deep: true } });
    out.push(Defender { id: "def-fs", at: fs, task: Task::Zone { at: fs, reach: 10.0, deep: true } });
    // Two bodies never share a spot.
    separate(&mut out);
    assign(call, &mut out, eligible, strong, &numbers, &cap);
    out
}

fn separate(all: &mut [Defender]) {
    for _ in 0..8 {
        for i in 0..all.len() {
            for j in 0..i {
                let d = all[i].at - all[j].at;
                if d.norm() < 1.1 {
                    let u = d.unit().unwrap_or(super::plane::V2::new(1.0, 0.0));
                    let push = 0.5 * (1.15 - d.norm());
                    all[i].at = all[i].at + u * push;
                    all[j].at = all[j].at - u * push;
                }
            }
        }
    }
}

fn assign(
    call: &Call,
    all: &mut [Defender],
    eligible: &[(Who, P2)],
    strong: f64,
    numbers: &dyn Fn(f64) -> f64,
    cap: &dyn Fn(f64) -> f64,
) {
    let set = |all: &mut [Defender], id: &str, task: Task| {
        if let Some(d) = all.iter_mut().find(|d| d.id == id) {
            d.task = task;
        }
    };
    let zone = |x: f64, y: f64, reach: f64, deep: bool| Task::Zone { at: P2::new(cap(x), y), reach, deep };
    let side_cb =
        |strong_side: bool| if (strong > 0.0) == strong_side { "def-cb-left" } else { "def-cb-right" };
    let (mid_left, mid_right) = (numbers(1.0), numbers(-1.0));
    let mid = 0.5 * (mid_left + mid_right);
    let at_side = |s: f64, f: f64| mid + (numbers(s) - mid) * f;
    match call.coverage {
        Coverage::TwoDeep => {
            set(all, side_cb(true), zone(5.0, numbers(strong), 7.0, false));
            set(all, side_cb(false), zone(5.0, numbers(-strong), 7.0, false));
            set(all, "def-ss", zone(17.0, at_side(strong, 0.75), 13.0, true));
            set(all, "def-fs", zone(17.0, at_side(-strong, 0.75), 13.0, true));
            set(all, "def-mike", zone(10.0, at_side(strong, 0.1), 6.0, false));
            set(all, "def-nickel", zone(8.5, at_side(strong, 0.55), 5.0, false));
            set(all, "def-will", zone(8.5, at_side(-strong, 0.5), 5.0, false));
        }
        Coverage::Quarters => {
            set(all, side_cb(true), zone(14.0, at_side(strong, 1.05), 7.0, true));
            set(all, side_cb(false), zone(14.0, at_side(-strong, 1.05), 7.0, true));
            set(all, "def-ss", zone(13.0, at_side(strong, 0.42), 7.0, true));
            set(all, "def-fs", zone(13.0, at_side(-strong, 0.42), 7.0, true));
            set(all, "def-mike", zone(9.0, mid, 6.0, false));
            set(all, "def-nickel", zone(6.5, at_side(strong, 0.8), 7.0, false));
            set(all, "def-will", zone(6.5, at_side(-strong, 0.75), 7.0, false));
        }
        Coverage::ThreeDeep => {
            set(all, side_cb(true), zone(15.0, at_side(strong, 1.0), 9.0, true));
            set(all, side_cb(false), zone(15.0, at_side(-strong, 1.0), 9.0, true));
            set(all, "def-fs", zone(18.0, mid, 9.0, true));
            set(all, "def-ss", zone(7.0, at_side(strong, 0.85), 6.0, false));
            set(all, "def-nickel", zone(9.0, at_side(strong, 0.38), 5.0, false));
            set(all, "def-mike", zone(9.0, at_side(-strong, 0.25), 6.0, false));
            set(all, "def-will", zone(7.0, at_side(-strong, 0.85), 6.0, false));
        }
        Coverage::ManFree | Coverage::TwoMan | Coverage::Zero => {
            let deep_two = call.coverage == Coverage::TwoMan;
            if deep_two {
                set(all, "def-ss", zone(17.0, at_side(strong, 0.75), 13.0, true));
                set(all, "def-fs", zone(17.0, at_side(-strong, 0.75), 13.0, true));
            } else if call.coverage == Coverage::ManFree {
                set(all, "def-fs", zone(17.0, mid, 14.0, true));
            }
            // Nearest free man takes each receiver, from the outside in, as defenses match.
            let mut free: Vec<&'static str> = vec!["def-nickel", "def-will", "def-mike"];
            if !deep_two {
                free.insert(1, "def-ss");
            }
            if call.coverage == Coverage::Zero {
                free.push("def-fs");
            }
            let mut order: Vec<(Who, P2)> = eligible.to_vec();
            order.sort_by(|a, b| b.1.y.abs().total_cmp(&a.1.y.abs()));
            for (w, at) in order {
                let side = at.y.signum();
                let id = match w {
                    Who::Strong(1) => side_cb(true),
                    Who::Weak(1) => side_cb(false),
                    _ => {
                        let Some(k) = (0..free.len()).min_by(|&a, &b| {
                            let d = |k: usize| {
                                all.iter().find(|d| d.id == free[k]).map_or(f64::MAX, |d| {
                                    (d.at.y - at.y).abs() + if free[k] == "def-fs" { 4.0 } else { 0.0 }
                                })
                            };
                            d(a).total_cmp(&d(b))
                        }) else {
                            continue;
                        };
                        free.remove(k)
                    }
                };
                let leverage = if deep_two { side } else { -side };
                let depth = match (w, call.press) {
                    (Who::Back, _) => None,
                    (Who::Strong(1) | Who::Weak(1), true) => Some(1.4),
                    (Who::Strong(1) | Who::Weak(1), false) => Some(5.5),
                    _ => Some(4.5),
                };
                set(all, id, Task::Man { on: w, leverage });
                // Only an undisguised man defender stands over his receiver.
                if call.shown == call.coverage
                    && let (Some(x), Some(d)) = (depth, all.iter_mut().find(|d| d.id == id))
                {
                    d.at = P2::new(x, at.y + leverage * 0.8);
                }
            }
            if !deep_two {
                // Whoever is left helps in the middle.
                for id in free {
                    set(all, id, zone(7.0, mid * 0.3, 6.0, false));
                }
            }
            separate(all);
        }
    }
    // The rush: three leaves an end in the flat hook; five and six send the free or the inside men.
    if call.rushers == 3 {
        set(all, "def-rdt", zone(4.5, 0.0, 5.0, false));
    }
    let mut extra = call.rushers.saturating_sub(4);
    let backs: Vec<Who> = eligible.iter().map(|e| e.0).filter(|w| *w == Who::Back).collect();
    for (id, gap) in [
        ("def-mike", strong * 1.9),
        ("def-will", -strong * 5.2),
        ("def-nickel", strong * 5.8),
        ("def-ss", strong * 5.0),
    ] {
        if extra == 0 {
            break;
        }
        let covers = all.iter().find(|d| d.id == id).map(|d| d.task);
        let keeps = match covers {
            Some(Task::Man { on, .. }) => !(backs.contains(&on) && call.rushers >= 6),
            _ => false,
        };
        if !keeps {
            set(all, id, Task::Rush { gap });
            extra -= 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::formation;
    use super::*;

    #[test]
    fn every_call_has_eleven_and_the_rush_it_names() {
        for coverage in Coverage::ALL {
            for shown in Coverage::ALL {
                for set in formation::Set::ALL {
                    for rushers in 3..=6 {
                        let offense = formation::line_up(set, 1.0, true, (20.0, -33.3), -1.0);
                        let eligible: Vec<_> =
                            offense.iter().filter_map(|s| s.who.map(|w| (w, s.at))).collect();
                        let d = line_up(
                            &Call { coverage, shown, rushers, press: true },
                            &eligible,
                            1.0,
                            (20.0, -33.3),
                            60.0,
                        );
                        assert_eq!(d.len(), 11);
                        assert!(d.iter().all(|d| d.at.x > 0.3), "{coverage:?} {shown:?} {set:?}: {d:?}");
                        let n = d.iter().filter(|d| matches!(d.task, Task::Rush { .. })).count();
                        // In man a sixth rusher needs somebody without a receiver.
                        let short = coverage.man() && rushers > 4;
                        assert!(
                            n == usize::from(rushers) || short && n >= 4,
                            "{coverage:?} {set:?} {rushers}: {n}"
                        );
                    }
                }
            }
        }
    }
}
