#![allow(missing_docs, clippy::print_stdout)]
use field::{Direction, RuleBook};
use scrimmage::sim::*;
use scrimmage::stage::Kit;
fn main() {
    let mut count = std::collections::BTreeMap::new();
    for n in 0..96u64 {
        let concept = concept::Concept::ALL[(n % 16) as usize];
        let cov = coverage::Coverage::ALL[((n / 16) % 6) as usize];
        let sch = concept.scheme();
        let script = script::Script {
            seed: 100 + n,
            place: plane::Place { spot: (35.0, [20.0, 26.667, 33.333][(n % 3) as usize]), direction: if n % 2 == 0 { Direction::Up } else { Direction::Down }, book: RuleBook::College },
            air: flight::Air { drag: 0.1, density: 1.2 },
            set: sch.sets[(n as usize / 5) % sch.sets.len()],
            strong: if n % 4 < 2 { 1.0 } else { -1.0 },
            gun: n % 5 != 0,
            motion: false,
            concept,
            plan: sch.plans[0].clone(),
            fault: script::Fault::None,
            protection: script::Protection { blockers: 5 + (n % 3) as u8 % 2, bust: false },
            call: coverage::Call { coverage: cov, shown: cov, rushers: 4, press: n % 2 == 0 },
            arm: script::Arm { top_mph: 57.0, side_sd_deg: 1.3, lift_sd_deg: 1.0 },
            untidy: 0.3,
        };
        let t0 = std::time::Instant::now();
        let kit = Kit { shirt: [200, 30, 30], number: [255, 255, 255], trousers: [240; 3], helmet: [200, 30, 30], striped: false };
        let s = staged::StagedPlay::new(&script, &people::Kits { offense: kit, defense: kit, rosters: (1, 2) });
        let w = &s.world;
        let e = w.ending.clone();
        let res = e.as_ref().map(|e| format!("{:?}", e.result)).unwrap_or("none".into());
        *count.entry(res.clone()).or_insert(0) += 1;
        let f = w.flight.as_ref();
        println!("{n:3} {:14} {:12} set {:.2} rel {:5.2} tgt {:8} m {:5.2} air {:5.1} mph {:4.1} arr {:5.2} {} {} end {:.2} [{:.0?}] phase {:?} span {:?}",
            concept.word(), cov.word(), w.passer.set, f.map_or(-1.0, |f| f.release), f.and_then(|f| f.target).map_or("-", |i| &w.men[i].id),
            f.and_then(|f| f.meant).map_or(-9.0, |c| c.margin), f.map_or(0.0, |f| f.meet_at.distance(w.men[5].track.at(f.release).at)),
            f.map_or(0.0, |f| units::mph_from_yards_per_second(f.path.samples[0].1.norm())), e.as_ref().and_then(|e| e.arrival).unwrap_or(-1.0), res, e.map_or("", |e| e.miss), w.since, t0.elapsed(), w.phase, scrimmage::stage::Stage::span(&s).1);
    }
    println!("{count:?}");
}
