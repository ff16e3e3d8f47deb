//! Which view a clip is, and which clips show the same play, guessed from names and order.

use play::{Clip, Finding, Severity, View};
use std::collections::HashMap;

/// In words.
pub(crate) const fn word(view: View) -> &'static str {
    match view {
        View::Sideline => "sideline",
        View::EndZone => "end-zone",
    }
}

/// The view that a file's name gives away, if any: words that crews write on the two angles (common practice, no source).
pub(crate) fn by_name(name: &str) -> Option<View> {
    let words: Vec<String> = name
        .split(|c: char| !c.is_alphanumeric())
        .flat_map(|w| w.split(|c: char| c.is_ascii_digit()))
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect();
    let has = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    let pair = |a: &str, b: &str| words.windows(2).any(|w| w[0] == a && w[1] == b);
    let sideline =
        has(&["sideline", "sidelines", "side", "sl", "wide", "press", "pressbox"]) || pair("press", "box");
    let end = has(&["endzone", "ez", "tight", "end"]);
    match (sideline, end) {
        (true, false) => Some(View::Sideline),
        (false, true) => Some(View::EndZone),
        _ => None,
    }
}

/// The last number in a file's name, by which crews count plays.
pub(crate) fn number_in(name: &str) -> Option<u32> {
    let stem = name.rsplit_once('.').map_or(name, |s| s.0);
    stem.split(|c: char| !c.is_ascii_digit()).rfind(|d| !d.is_empty())?.parse().ok()
}

/// A clip with its film's name.
pub(crate) struct Named<'a> {
    pub clip: &'a Clip,
    pub film: &'a str,
}

/// One play's clips, by index into what was given.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Pair {
    pub sideline: Option<usize>,
    pub end_zone: Option<usize>,
}

impl Pair {
    fn set(&mut self, view: View, k: usize) {
        match view {
            View::Sideline => self.sideline = Some(k),
            View::EndZone => self.end_zone = Some(k),
        }
    }
    pub fn get(self, view: View) -> Option<usize> {
        match view {
            View::Sideline => self.sideline,
            View::EndZone => self.end_zone,
        }
    }
}

/// Clips in film order tied into plays.
///
/// Views come from what is set, then from names; when no clip has one: two films are the two views, one film alternates.
/// Plays come from a number in the files' names when each file holds one clip, else from order.
pub(crate) fn pair(clips: &[Named<'_>]) -> (Vec<Pair>, Vec<Finding>) {
    let mut findings = Vec::new();
    let mut views: Vec<Option<View>> =
        clips.iter().map(|c| c.clip.view.or_else(|| by_name(c.film))).collect();
    let mut films: Vec<&str> = Vec::new();
    for c in clips {
        if !films.contains(&c.clip.film.as_str()) {
            films.push(c.clip.film.as_str());
        }
    }
    if !clips.is_empty() && views.iter().all(Option::is_none) {
        let guess = match films.as_slice() {
            [_] => {
                (0..clips.len()).for_each(|k| views[k] = Some(View::ALL[k % 2]));
                "clips alternate sideline, end zone"
            }
            [first, _] => {
                for (k, c) in clips.iter().enumerate() {
                    views[k] =
                        Some(if c.clip.film.as_str() == *first { View::Sideline } else { View::EndZone });
                }
                "the first film is the sideline view, the second the end-zone view"
            }
            _ => "",
        };
        if !guess.is_empty() {
            let said = format!("no name says which view is which; guessed that {guess}. Check one play");
            findings.push(Finding::new(Severity::Weak, "views-guessed", said));
        }
    }
    let unknown = views.iter().filter(|v| v.is_none()).count();
    if unknown > 0 {
        let said = format!("{unknown} clips were left out: their view is not known");
        findings.push(Finding::new(Severity::Missing, "view-unknown", said));
    }
    let single = films.len() == clips.len();
    let numbers: Vec<Option<u32>> = clips.iter().map(|c| number_in(c.film)).collect();
    let mut pairs = if single && numbers.iter().all(Option::is_some) && films.len() > 2 {
        by_number(&views, &numbers, &mut findings)
    } else {
        by_order(&views)
    };
    pairs.retain(|p| p.sideline.is_some() || p.end_zone.is_some());
    let alone = pairs.iter().filter(|p| p.sideline.is_none() || p.end_zone.is_none()).count();
    if alone > 0 {
        let said = format!("{alone} of {} plays have one view only", pairs.len());
        findings.push(Finding::new(Severity::Weak, "one-view", said));
    }
    (pairs, findings)
}

fn by_order(views: &[Option<View>]) -> Vec<Pair> {
    let mut pairs: Vec<Pair> = Vec::new();
    for view in View::ALL {
        for (n, k) in (0..views.len()).filter(|&k| views[k] == Some(view)).enumerate() {
            if pairs.len() <= n {
                pairs.push(Pair::default());
            }
            pairs[n].set(view, k);
        }
    }
    pairs
}

fn by_number(views: &[Option<View>], numbers: &[Option<u32>], findings: &mut Vec<Finding>) -> Vec<Pair> {
    let mut at: HashMap<u32, Pair> = HashMap::new();
    for (k, view) in views.iter().enumerate() {
        let (Some(view), Some(number)) = (*view, numbers[k]) else { continue };
        let pair = at.entry(number).or_default();
        if pair.get(view).is_some() {
            let said = format!(
                "two files of the {} view carry number {number}; paired by order instead",
                word(view)
            );
            findings.push(Finding::new(Severity::Weak, "number-twice", said));
            return by_order(views);
        }
        pair.set(view, k);
    }
    let mut numbers: Vec<u32> = at.keys().copied().collect();
    numbers.sort_unstable();
    numbers.iter().map(|n| at[n]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clip(film: &str, view: Option<View>) -> Clip {
        Clip { id: "c".into(), film: film.into(), first: 0, end: 10, view, play: None, snap_frame: None }
    }
    fn run(films: &[(&str, &str)]) -> (Vec<Pair>, Vec<String>) {
        let clips: Vec<Clip> = films.iter().map(|f| clip(f.0, None)).collect();
        let named: Vec<Named<'_>> =
            clips.iter().zip(films).map(|(clip, f)| Named { clip, film: f.1 }).collect();
        let (pairs, findings) = pair(&named);
        (pairs, findings.into_iter().map(|f| f.code).collect())
    }
    fn both(a: usize, b: usize) -> Pair {
        Pair { sideline: Some(a), end_zone: Some(b) }
    }

    #[test]
    fn names_tell_views() {
        for (name, view) in [
            ("game1_sideline.mp4", Some(View::Sideline)),
            ("Q1 EZ 04.mov", Some(View::EndZone)),
            ("play12-end-zone.avi", Some(View::EndZone)),
            ("04ez.mp4", Some(View::EndZone)),
            ("weekend.mp4", None),
            ("sideline-and-ez.mp4", None),
            ("film.mp4", None),
        ] {
            assert_eq!(by_name(name), view, "{name}");
        }
        assert_eq!(number_in("week 3 play 012.mp4"), Some(12));
        assert_eq!(number_in("film.mp4"), None);
    }

    #[test]
    fn two_long_films_pair_by_order() {
        let (pairs, findings) = run(&[("a", "sl.mp4"), ("a", "sl.mp4"), ("b", "ez.mp4"), ("b", "ez.mp4")]);
        assert_eq!(pairs, [both(0, 2), both(1, 3)]);
        assert!(findings.is_empty());
    }

    #[test]
    fn unnamed_views_are_guessed_and_said() {
        let (pairs, findings) = run(&[("a", "x.mp4"), ("a", "x.mp4"), ("a", "x.mp4"), ("a", "x.mp4")]);
        assert_eq!(pairs, [both(0, 1), both(2, 3)]);
        assert_eq!(findings, ["views-guessed"]);
    }

    #[test]
    fn single_play_files_pair_by_their_numbers() {
        let (pairs, findings) = run(&[
            ("a", "play 1 side.mp4"),
            ("b", "play 3 side.mp4"),
            ("c", "play 1 end.mp4"),
            ("d", "play 2 end.mp4"),
            ("e", "play 3 end.mp4"),
        ]);
        assert_eq!(pairs, [both(0, 2), Pair { sideline: None, end_zone: Some(3) }, both(1, 4)]);
        assert_eq!(findings, ["one-view"]);
    }
}
