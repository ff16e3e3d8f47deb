#![allow(missing_docs, clippy::print_stdout)]
use scrimmage::sim::*;
fn main() {
    let seed: u64 = std::env::args().nth(1).map_or(7, |s| s.parse().unwrap());
    let n: usize = std::env::args().nth(2).map_or(26, |s| s.parse().unwrap());
    let t = std::time::Instant::now();
    let g = game::GameScript::with_plays(seed, n);
    println!("{:?}, drag {:.3}", t.elapsed(), g.air.drag);
    let mut c = std::collections::BTreeMap::new();
    for p in &g.plays {
        let s = &p.scene;
        *c.entry(format!("{:?}", p.outcome)).or_insert(0) += 1;
        println!("{:2} Q{} {:5.0} {}&{:<3} own {:3} {:?} {:?} {:?} | {} {:?} {} (shown {}) r{} b{}{} fault {:?} rep {:?} -> {:?} {} {}", p.number, s.quarter, s.clock_s, s.down, s.distance, s.own, s.hash, s.direction, s.score,
            p.picture.concept.word(), p.picture.set, p.picture.call.coverage.word(), p.picture.call.shown.word(), p.picture.call.rushers, p.picture.protection.blockers, if p.picture.protection.bust {"!"} else {""}, p.picture.fault, p.picture.repeats, p.outcome, p.miss, p.gain);
    }
    println!("{c:?} downs {}", g.downs.len());
}
