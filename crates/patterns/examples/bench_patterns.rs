//! How long all ready questions over a thousand throws take, pooled figures and all, as JSON lines.
#![allow(clippy::print_stdout)]

#[allow(dead_code, reason = "shared with the other example")]
mod support;

use patterns::ask::{Question, ask_all, ready};
use std::time::Instant;
use support::{Dice, Habits, throws};

fn main() {
    let lines = throws(Habits { pressure: -1.0, feet: 0.05, ..Habits::default() }, 25, 40, &mut Dice::new(1));
    let questions: Vec<Question> = ready().into_iter().map(|r| r.question).collect();
    let began = Instant::now();
    let answers = ask_all(&lines, &questions).expect("ready questions can be asked");
    let took = began.elapsed().as_secs_f64();
    let groups = answers.iter().flat_map(|a| &a.groups).filter(|g| g.pooled.is_some()).count();
    println!(
        "{{\"name\":\"patterns.thousand_throws\",\"value\":{took:.3},\"unit\":\"s\",\"goal\":2,\"better\":\"lower\",\"holds\":{},\"note\":\"{} questions over {} throws of 25 games, {groups} pooled groups; one core\"}}",
        took < 2.0,
        answers.len(),
        lines.len()
    );
}
