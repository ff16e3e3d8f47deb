//! Everything that is asked, and what was answered of it.

use crate::{WorkError, key_of};
use patterns::again::Shown;
use patterns::ask::{Answer, Question, Ready, ask_among, ready};
use patterns::facts::Line;
use play::GameId;
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

/// Everything that is asked: lines and pictures in the order of games and plays.
#[derive(Serialize, Deserialize)]
pub(crate) struct Asked {
    pub lines: Vec<Line>,
    pub shown: Vec<Shown>,
    /// By what names the question: pooling over groups samples, which takes most of the time of a screen.
    #[serde(skip)]
    answered: Mutex<HashMap<String, Answer>>,
}

/// Most answers that are remembered; an evaluator asks some tens.
const REMEMBERED: usize = 500;

impl Asked {
    pub fn new(lines: Vec<Line>, shown: Vec<Shown>) -> Self {
        Self { lines, shown, answered: Mutex::default() }
    }
    /// Answers a question beside the ready ones over the same games: all of their comparisons are controlled together, wherever it
    /// is asked.
    pub fn answer(&self, question: &Question) -> Result<Answer, WorkError> {
        let answered = || self.answered.lock().unwrap_or_else(PoisonError::into_inner);
        let key = key_of(question)?;
        if let Some(a) = answered().get(&key) {
            return Ok(a.clone());
        }
        let beside: Vec<Question> = ready().into_iter().map(|r| r.question.over(&question.games)).collect();
        let answer = ask_among(&self.lines, question, &beside)?;
        let mut held = answered();
        if held.len() >= REMEMBERED {
            held.clear();
        }
        held.insert(key, answer.clone());
        Ok(answer)
    }
    /// The ready questions over some games (all when none is named), answered.
    pub fn ready(&self, games: &[GameId]) -> Result<Vec<(Ready, Answer)>, WorkError> {
        let answered = |r: Ready| {
            let answer = self.answer(&r.question.clone().over(games))?;
            Ok((r, answer))
        };
        ready().into_iter().map(answered).collect()
    }
}
