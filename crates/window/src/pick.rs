use crate::candidate::{Candidate, score};
use crate::parameters::Parameters;
use crate::perturb::Numbers;
use crate::race::{Meeting, Placed, Raced, at_most, race};

/// The best throw of a repeat.
#[derive(Clone, Copy)]
pub(crate) struct Picked<'a> {
    pub candidate: &'a Candidate,
    pub meeting: Meeting,
    pub raced: Raced,
}

/// Races the kept throws again among the `defenders` and with the receiver's `numbers` of a repeat, and picks the best;
/// `None` when none was kept. With `prune`, throws whose bound lies under the best so far are not raced.
pub(crate) fn pick<'a>(
    kept: &'a [Candidate],
    defenders: &[Placed],
    numbers: &Numbers,
    p: &Parameters,
    prune: bool,
) -> Option<Picked<'a>> {
    let drawn = numbers.mover(&p.receiver);
    let mut top: Option<(f64, Picked<'a>)> = None;
    for candidate in kept {
        let (position, velocity) = numbers.shift(&candidate.leaving, p);
        let meeting = candidate.meet(&drawn, position, velocity, p);
        let sure = p.arm.placement_weight_s * meeting.placed;
        if let Some((best, _)) = &top
            && prune
        {
            let Raced { first, station, .. } = candidate.raced;
            if at_most(&candidate.stations, &defenders[first], station, &meeting, p) + sure <= *best {
                continue;
            }
        }
        let rivals = candidate.near[..candidate.rivals].iter().map(|&i| &defenders[i]);
        let raced = race(&candidate.stations, rivals, &meeting, p);
        // `race` counts among the rivals handed in.
        let raced = Raced { first: candidate.near[raced.first], ..raced };
        let s = score(&raced, &meeting, p);
        if top.as_ref().is_none_or(|t| s > t.0) {
            top = Some((s, Picked { candidate, meeting, raced }));
        }
    }
    top.map(|t| t.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::candidate::best_throws;
    use crate::engine::Stage;
    use crate::flight_table::FlightTable;
    use crate::scene::{Request, Scene};
    use crate::support;

    #[test]
    fn short_cuts_lose_no_margin_that_matters() {
        let (people, tracks) = support::play();
        let p = Parameters::ours();
        let table = FlightTable::new(&play::Air::default(), &p).unwrap();
        let scene = Scene { people: &people, tracks: &tracks, rule_book: field::RuleBook::College };
        let request = Request { from_s: 0.0, until_s: 3.4, rate_hz: 5.0, draws: 60, seed: 11 };
        let stage = Stage::new(&scene, &table, &p, &request).unwrap();
        let (mut pruned, mut guessed) = (0.0_f64, Vec::new());
        for receiver in &stage.cast.receivers {
            for (k, &t) in stage.times.iter().enumerate() {
                let passer = stage.passer(k).unwrap();
                let kept = best_throws(&stage.cast, receiver, t, passer, stage.field.of(k, 0), &table, &p);
                for d in 1..=request.draws {
                    let (numbers, defenders) =
                        (stage.repeats.numbers(d, receiver.index), stage.field.of(k, d));
                    let [all, some] =
                        [false, true].map(|prune| pick(&kept, defenders, numbers, &p, prune).unwrap());
                    let score = |x: &Picked<'_>| score(&x.raced, &x.meeting, &p);
                    pruned = pruned.max(score(&all) - score(&some));
                    // The first guess picks defender and station; exactly, another may be sooner.
                    let s = &all.candidate.stations;
                    let exact = |i: usize, k: usize| defenders[i].slack_at(s, k, p.limits.margin_s);
                    let first = exact(all.raced.first, all.raced.station);
                    let least = (0..defenders.len())
                        .flat_map(|i| (0..crate::STATIONS).filter(|&k| s.touchable(k)).map(move |k| (i, k)))
                        .map(|(i, k)| exact(i, k))
                        .fold(f64::INFINITY, f64::min);
                    // Deep in cover or wide open, tenths change nothing.
                    if (-0.4..1.5).contains(&least) {
                        guessed.push(first - least);
                    }
                }
            }
        }
        assert!(pruned <= 0.01, "pruning loses {pruned} s");
        guessed.sort_by(f64::total_cmp);
        let (most, worst) = (guessed[guessed.len() * 99 / 100], guessed[guessed.len() - 1]);
        // Far under the resolution of margins, .35 s.
        assert!(guessed.len() > 2000);
        assert!(
            most <= 0.03 && worst <= 0.1,
            "the first guess picks another's slack: 99% within {most} s, worst {worst} s"
        );
    }
}
