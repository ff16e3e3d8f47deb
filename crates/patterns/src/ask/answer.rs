//! A question's answer.

use super::question::Question;
use super::worth::{Needed, Worth};
use crate::facts::Field;
use play::PlayId;
use serde::Serialize;
use stats::{Estimate, Interval};

/// A value and its interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Ranged {
    /// A share from 0 to 1, or an average in the field's unit.
    pub value: f64,
    /// 90% interval; `None` from one play, which shows no spread.
    pub interval: Option<Interval>,
}

/// A group against another, or against all others.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Difference {
    /// The other group's word, or "the others".
    pub against: String,
    /// This group less the other.
    pub value: f64,
    /// Its standard error.
    pub se: f64,
    /// 90% interval.
    pub interval: Interval,
    /// Chance of so large a difference were there none.
    pub p: f64,
    /// The same with all that was compared at once accounted for.
    pub q: f64,
    /// What may be said.
    pub worth: Worth,
    /// What more it would take.
    pub needed: Needed,
    /// In one sentence with the figures.
    pub words: String,
}

/// Plays of one word or band.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Group {
    /// The word; "all plays" where nothing splits them.
    pub word: String,
    /// Plays that count.
    pub n: usize,
    /// Which; those that are a yes come first.
    pub plays: Vec<PlayId>,
    /// Of a share: how many of them are a yes.
    pub yes: Option<usize>,
    /// The figure; `None` without plays.
    pub figure: Option<Ranged>,
    /// The figure drawn toward those of the other groups, as far as its few plays ask for it; `None` where nothing was split.
    pub pooled: Option<Ranged>,
    /// Against the others; with two groups it stands at the first.
    pub difference: Option<Difference>,
    /// The figure in words.
    pub words: String,
}

/// Plays that should count and do not.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Left {
    /// What is missing of them.
    pub field: String,
    /// Why.
    pub why: String,
    /// Which.
    pub plays: Vec<PlayId>,
}

/// A play in a plot of one measure against another.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Dot {
    /// Which.
    pub play: PlayId,
    /// What the plays are split by.
    pub x: Estimate,
    /// What is asked for.
    pub y: Estimate,
}

/// A play without which the line would be another.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Sway {
    /// Which.
    pub play: PlayId,
    /// The slope without it, errors of measurement taken out where they can be; `None` where the others show no line at all.
    pub without: Option<Ranged>,
    /// Chance of so steep a slope without it, were there none; 1 where there is no line.
    pub p: f64,
}

/// A straight line through dots.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Slope {
    /// Least-squares slope as it comes: units of y per unit of x; errors of x flatten it.
    pub plain: Ranged,
    /// Its standard error.
    pub se: f64,
    /// The slope with the known errors of x taken out; `None` where they are as large as the spread itself, or unknown.
    pub corrected: Option<Ranged>,
    /// Share of the spread of x that is not error of measurement, 0 to 1.
    pub reliability: f64,
    /// y at x = 0 by the plain line.
    pub intercept: f64,
    /// The one play that by itself decides how steep the line is, if there is one.
    pub sway: Option<Sway>,
    /// Chance of so steep a slope were there none.
    pub p: f64,
    /// The same with all that was compared at once accounted for.
    pub q: f64,
    /// What may be said.
    pub worth: Worth,
    /// What more it would take.
    pub needed: Needed,
    /// In one sentence with the figures.
    pub words: String,
}

/// How an answer is to be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum AnswerKind {
    /// Shares by group.
    Shares,
    /// Averages by group.
    Means,
    /// One measure against another.
    Dots,
}

/// The answer to a question.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Answer {
    /// What was asked.
    pub question: Question,
    /// In words: "Throws completed, by Pocket".
    pub title: String,
    /// What is asked for.
    pub of: Field,
    /// What it is split by.
    pub by: Option<Field>,
    /// How to draw it.
    pub kind: AnswerKind,
    /// Of a field of many words: whose share it is.
    pub word: Option<String>,
    /// Words that there are to choose from, the most frequent first; empty for a yes-or-no and a measure.
    pub words: Vec<String>,
    /// By word or band, in the field's order.
    pub groups: Vec<Group>,
    /// All that count, together.
    pub whole: Group,
    /// Of two measures: each play.
    pub dots: Vec<Dot>,
    /// Of two measures: the line through them.
    pub slope: Option<Slope>,
    /// Plays that should count but were not seen or charted, by what is missing and why.
    pub left: Vec<Left>,
    /// How many those are together.
    pub not_seen: usize,
    /// Plays that it does not apply to.
    pub outside: usize,
    /// How many differences were compared at once when `q` was taken.
    pub compared: usize,
    /// The strongest that may be said.
    pub worth: Worth,
    /// The answer in one sentence.
    pub said: String,
}

impl Answer {
    /// The figure of all that count in words, with how many should and were not seen: "12 of 31, 39% (26% to 54%); 2 not seen".
    pub fn whole_words(&self) -> String {
        match self.not_seen {
            0 => self.whole.words.clone(),
            n => format!("{}; {n} not seen", self.whole.words),
        }
    }
}
