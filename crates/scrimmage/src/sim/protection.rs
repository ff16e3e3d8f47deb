//! Who blocks whom, and who is let through.

use super::coverage::Task;
use super::plane::P2;
use super::world::{Job, World};

/// Tells every blocker his man, and draws when each rusher beats his blocker.
pub fn tell_off(world: &mut World) {
    let mut rushers: Vec<(usize, f64)> = (11..22)
        .filter_map(|i| match world.men[i].job {
            Job::Defend(Task::Rush { gap }) => Some((i, gap)),
            _ => None,
        })
        .collect();
    rushers.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut blockers: Vec<(usize, P2)> = (0..11)
        .filter(|&i| matches!(world.men[i].job, Job::Block(_)))
        .map(|i| (i, world.men[i].body.at))
        .collect();
    blockers.sort_by(|a, b| b.1.y.total_cmp(&a.1.y));
    if world.script.protection.bust && !rushers.is_empty() {
        // The widest man from the strong side comes free.
        let free = if world.script.strong > 0.0 { 0 } else { rushers.len() - 1 };
        rushers.remove(free);
    }
    while rushers.len() > blockers.len() {
        // Inside out: the widest is left.
        let free =
            if rushers[0].1.abs() > rushers[rushers.len() - 1].1.abs() { 0 } else { rushers.len() - 1 };
        rushers.remove(free);
    }
    let pairs = match_in_order(&rushers, &blockers);
    for (r, b) in pairs {
        world.men[r].blocked_by = Some(b);
        // Most blocks hold for between two and four seconds; some do not.
        let hold = 2.75 * (world.dice.normal(0.36)).exp();
        world.men[r].wins_at = hold.max(1.3);
        world.men[b].job = Job::Block(Some(r));
    }
}

/// The order-keeping match of all rushers to blockers with the least sideways distance.
fn match_in_order(rushers: &[(usize, f64)], blockers: &[(usize, P2)]) -> Vec<(usize, usize)> {
    let (n, m) = (rushers.len(), blockers.len());
    let cost = |r: usize, b: usize| {
        (rushers[r].1 - blockers[b].1.y).abs().powf(1.3) + if blockers[b].1.x < -3.0 { 1.5 } else { 0.0 }
    };
    // best[r][b]: the first r rushers by the first b blockers.
    let mut best = vec![vec![f64::INFINITY; m + 1]; n + 1];
    best[0].fill(0.0);
    for r in 1..=n {
        for b in r..=m {
            best[r][b] = best[r][b - 1].min(best[r - 1][b - 1] + cost(r - 1, b - 1));
        }
    }
    let (mut r, mut b, mut out) = (n, m, Vec::new());
    while r > 0 && b > 0 {
        if best[r][b] < best[r][b - 1] {
            out.push((rushers[r - 1].0, blockers[b - 1].0));
            r -= 1;
        }
        b -= 1;
    }
    out
}
