//! The same picture again: plays alike in routes, coverage, what the key did and how everybody moved.

use crate::facts::{Cell, Line};
use play::PlayId;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What the passer was shown on a play, in the play frame (yards past the line, to the offense's left of the ball).
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Picture {
    /// Route word by slot, charted or else recognised.
    pub routes: BTreeMap<String, String>,
    /// Coverage as charted.
    pub coverage: String,
    /// Its kind, charted or recognised.
    pub family: Option<String>,
    /// Deep safeties at the snap.
    pub shell: Option<u8>,
    /// Rushers.
    pub rushers: Option<u8>,
    /// Slot of the receiver with whom the key of the plan went.
    pub key: Option<String>,
    /// By slot, the receiver's place every [`STEP_S`] from the snap on.
    pub paths: BTreeMap<String, Vec<[f64; 2]>>,
    /// Places of the defenders in coverage at [`SHAPE_S`].
    pub shape: Vec<[f64; 2]>,
}

/// Seconds between the points of a path.
pub const STEP_S: f64 = 0.25;
/// Seconds after the snap up to which paths are held against each other: later ones follow the ball.
pub const UNTIL_S: f64 = 2.5;
/// When the defense's shape is taken, s from the snap.
pub const SHAPE_S: f64 = 2.0;

/// How much each part counts, where both plays have it. Ours: what an evaluator means by "the same look again" is first of all
/// routes and coverage.
const ROUTES: f64 = 0.35;
const COVERAGE: f64 = 0.30;
const KEY: f64 = 0.10;
const PATHS: f64 = 0.15;
const SHAPE: f64 = 0.10;
/// Mean distance at which paths and shapes are wholly different, yd.
const APART_YD: f64 = 6.0;
/// Distance up to which two plays are one picture. Ours: the same routes against the same kind of coverage with one man's place or
/// the key different still are; another coverage kind is not.
pub const ALIKE: f64 = 0.25;

/// Two plays held against each other.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Likeness {
    /// 0 the same, 1 nothing alike.
    pub distance: f64,
    /// Whether the other is alike only when turned over.
    pub turned: bool,
    /// What is alike and what is not, in words.
    pub words: String,
}

/// How alike two pictures are; `None` when they have neither routes nor coverage in common knowledge.
pub fn likeness(a: &Picture, b: &Picture) -> Option<Likeness> {
    let straight = held(a, b, false);
    let turned = held(a, &b.mirrored(), true);
    match (straight, turned) {
        // The same side wins a tie.
        (Some(s), Some(t)) => Some(if t.distance < s.distance - 1e-9 { t } else { s }),
        (s, t) => s.or(t),
    }
}

fn held(a: &Picture, b: &Picture, turned: bool) -> Option<Likeness> {
    let mut parts: Vec<(f64, f64)> = Vec::new();
    let mut words = Vec::new();
    let routes = routes_apart(a, b);
    let coverage = coverage_apart(a, b);
    if let Some((d, same, all)) = routes {
        parts.push((ROUTES, d));
        words.push(format!("{same} of {all} routes"));
    }
    if let Some((d, said)) = coverage {
        parts.push((COVERAGE, d));
        words.push(said.to_owned());
    }
    if parts.is_empty() {
        return None;
    }
    if let (Some(x), Some(y)) = (&a.key, &b.key) {
        let same = x == y;
        parts.push((KEY, if same { 0.0 } else { 1.0 }));
        words.push(if same { "the key went the same way" } else { "the key went the other way" }.to_owned());
    }
    if let Some(d) = paths_apart(a, b) {
        parts.push((PATHS, (d / APART_YD).min(1.0)));
        words.push(format!("receivers {d:.1} yd apart on average"));
    }
    if let Some(d) = shape_apart(&a.shape, &b.shape) {
        parts.push((SHAPE, (d / APART_YD).min(1.0)));
        words.push(format!("coverage {d:.1} yd apart"));
    }
    let weight: f64 = parts.iter().map(|p| p.0).sum();
    let distance = parts.iter().map(|(w, d)| w * d).sum::<f64>() / weight;
    let side = if turned { "turned over: " } else { "" };
    Some(Likeness { distance, turned, words: format!("{side}{}", words.join(", ")) })
}

/// Share of slots that run something else, and how many of how many run the same.
fn routes_apart(a: &Picture, b: &Picture) -> Option<(f64, usize, usize)> {
    if a.routes.is_empty() || b.routes.is_empty() {
        return None;
    }
    let slots: std::collections::BTreeSet<_> = a.routes.keys().chain(b.routes.keys()).collect();
    let same = slots
        .iter()
        .filter(|s| match (a.routes.get(**s), b.routes.get(**s)) {
            (Some(x), Some(y)) => x.eq_ignore_ascii_case(y),
            _ => false,
        })
        .count();
    Some((1.0 - same as f64 / slots.len() as f64, same, slots.len()))
}

fn coverage_apart(a: &Picture, b: &Picture) -> Option<(f64, &'static str)> {
    let (x, y) = (a.coverage.trim(), b.coverage.trim());
    if !x.is_empty() && x.eq_ignore_ascii_case(y) {
        return Some((0.0, "the same coverage"));
    }
    match (&a.family, &b.family) {
        (Some(f), Some(g)) if f == g => {
            Some((if x.is_empty() || y.is_empty() { 0.1 } else { 0.4 }, "the same kind of coverage"))
        }
        (Some(_), Some(_)) => Some((1.0, "another coverage")),
        _ if !x.is_empty() && !y.is_empty() => Some((1.0, "another coverage")),
        _ => None,
    }
}

/// Mean distance of the receivers in the same slots over the common time, yd.
fn paths_apart(a: &Picture, b: &Picture) -> Option<f64> {
    let (mut sum, mut n) = (0.0, 0usize);
    for (slot, p) in &a.paths {
        let Some(q) = b.paths.get(slot) else { continue };
        for (x, y) in p.iter().zip(q) {
            sum += (x[0] - y[0]).hypot(x[1] - y[1]);
            n += 1;
        }
    }
    (n > 0).then(|| sum / n as f64)
}

/// Mean distance of each defender to the nearest of the other play's, both ways, yd.
fn shape_apart(a: &[[f64; 2]], b: &[[f64; 2]]) -> Option<f64> {
    if a.is_empty() || b.is_empty() {
        return None;
    }
    let one_way = |from: &[[f64; 2]], to: &[[f64; 2]]| {
        let nearest =
            |p: &[f64; 2]| to.iter().map(|q| (p[0] - q[0]).hypot(p[1] - q[1])).fold(f64::INFINITY, f64::min);
        from.iter().map(nearest).sum::<f64>() / from.len() as f64
    };
    Some(0.5 * (one_way(a, b) + one_way(b, a)))
}

impl Picture {
    /// The same picture to the other side.
    pub fn mirrored(&self) -> Self {
        let slot = |s: &String| match s.as_bytes().first() {
            Some(b'L') => format!("R{}", &s[1..]),
            Some(b'R') => format!("L{}", &s[1..]),
            _ => s.clone(),
        };
        let flip = |p: &[f64; 2]| [p[0], -p[1]];
        Self {
            routes: self.routes.iter().map(|(s, r)| (slot(s), r.clone())).collect(),
            key: self.key.as_ref().map(slot),
            paths: self.paths.iter().map(|(s, p)| (slot(s), p.iter().map(flip).collect())).collect(),
            shape: self.shape.iter().map(flip).collect(),
            ..self.clone()
        }
    }
}

/// Another play beside one.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Alike {
    /// Which.
    pub play: PlayId,
    /// How alike.
    pub likeness: Likeness,
    /// Whether it came before.
    pub before: bool,
}

/// A play with what was shown.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Shown {
    /// Which.
    pub play: PlayId,
    /// The picture.
    pub picture: Picture,
}

/// The plays nearest to `play`, at most `most`, in the order of time. `shown` is in the order of time.
pub fn nearest(shown: &[Shown], play: &PlayId, most: usize) -> Vec<Alike> {
    let Some(at) = shown.iter().position(|s| s.play == *play) else { return Vec::new() };
    let mut found: Vec<(usize, Likeness)> = shown
        .iter()
        .enumerate()
        .filter(|(k, _)| *k != at)
        .filter_map(|(k, s)| likeness(&shown[at].picture, &s.picture).map(|l| (k, l)))
        .collect();
    found.sort_by(|a, b| a.1.distance.total_cmp(&b.1.distance).then(a.0.cmp(&b.0)));
    found.truncate(most);
    found.sort_by_key(|f| f.0);
    found
        .into_iter()
        .map(|(k, likeness)| Alike { play: shown[k].play.clone(), likeness, before: k < at })
        .collect()
}

/// Pictures seen more than once: indices into `shown`, each in the order of time. A play joins the picture of the play before it
/// that it is nearest to.
pub fn repeated(shown: &[Shown]) -> Vec<Vec<usize>> {
    let mut picture_of: Vec<Option<usize>> = vec![None; shown.len()];
    let mut pictures: Vec<Vec<usize>> = Vec::new();
    for k in 0..shown.len() {
        let before = (0..k)
            .filter_map(|j| likeness(&shown[k].picture, &shown[j].picture).map(|l| (j, l.distance)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|x| x.1 <= ALIKE);
        match before.and_then(|(j, _)| picture_of[j]) {
            Some(p) => {
                picture_of[k] = Some(p);
                pictures[p].push(k);
            }
            None => {
                picture_of[k] = Some(pictures.len());
                pictures.push(vec![k]);
            }
        }
    }
    pictures.retain(|p| p.len() > 1);
    pictures
}

/// Says of every line whether its picture is shown for the first time. Lines and pictures are in the same order.
pub fn first_or_seen(lines: &mut [Line], shown: &[Shown]) {
    for k in 0..lines.len() {
        let known = |p: &Picture| !p.routes.is_empty() || !p.coverage.is_empty() || p.family.is_some();
        let cell = if known(&shown[k].picture) {
            let seen = (0..k)
                .filter_map(|j| likeness(&shown[k].picture, &shown[j].picture))
                .any(|l| l.distance <= ALIKE);
            Cell::Word(if seen { "seen before" } else { "first time" }.to_owned())
        } else {
            Cell::NotSeen("neither routes nor coverage are known".to_owned())
        };
        lines[k].put("picture", cell);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(routes: &[(&str, &str)], coverage: &str, family: &str) -> Picture {
        Picture {
            routes: routes.iter().map(|(s, r)| ((*s).to_owned(), (*r).to_owned())).collect(),
            coverage: coverage.to_owned(),
            family: Some(family.to_owned()),
            ..Picture::default()
        }
    }
    const SMASH: &[(&str, &str)] = &[("L1", "Hitch"), ("L2", "Corner"), ("R1", "Go"), ("R2", "Dig")];

    /// By hand: three of four routes and the same kind of coverage by another word: (.35 × .25 + .30 × .4) / .65.
    #[test]
    fn distance_by_hand() {
        let a = picture(SMASH, "Cover 2", "two deep");
        let mut b = picture(SMASH, "Tampa", "two deep");
        b.routes.insert("R2".into(), "Post".into());
        let l = likeness(&a, &b).unwrap();
        assert!((l.distance - (0.35 * 0.25 + 0.30 * 0.4) / 0.65).abs() < 1e-12 && !l.turned);
        assert_eq!(l.words, "3 of 4 routes, the same kind of coverage");
        assert!((likeness(&a, &a).unwrap().distance).abs() < 1e-12);
        assert_eq!(likeness(&a, &Picture::default()), None);
    }

    #[test]
    fn the_other_side_is_the_same_picture_turned_over() {
        let mut a = picture(SMASH, "Cover 2", "two deep");
        a.paths.insert("L1".into(), vec![[0.0, 18.0], [5.0, 18.0]]);
        a.shape = vec![[12.0, 10.0], [14.0, -8.0]];
        let l = likeness(&a, &a.mirrored()).unwrap();
        assert!(l.turned && l.distance < 1e-12, "{l:?}");
        // Tracks that part by six yards and more are wholly apart: only their part of the weight.
        let mut far = a.clone();
        far.paths.insert("L1".into(), vec![[30.0, 18.0], [35.0, 18.0]]);
        assert!((likeness(&a, &far).unwrap().distance - 0.15 / 0.9).abs() < 1e-12);
    }

    #[test]
    fn pictures_gather_in_time() {
        let other: &[(&str, &str)] = &[("L1", "Slant"), ("L2", "Flat"), ("R1", "Post"), ("R2", "Seam")];
        let shown: Vec<Shown> = [
            picture(SMASH, "Cover 2", "two deep"),
            picture(other, "Cover 3", "three deep"),
            picture(SMASH, "Cover 3", "three deep"),
            picture(SMASH, "Cover 2", "two deep"),
            Picture::default(),
            picture(other, "Cover 3", "three deep"),
        ]
        .into_iter()
        .enumerate()
        .map(|(k, picture)| Shown { play: PlayId(format!("p{k}")), picture })
        .collect();
        assert_eq!(repeated(&shown), vec![vec![0, 3], vec![1, 5]]);
        let near = nearest(&shown, &"p3".into(), 2);
        assert_eq!(
            near.iter().map(|a| (a.play.as_str(), a.before)).collect::<Vec<_>>(),
            [("p0", true), ("p2", true)]
        );
        let mut lines: Vec<Line> = shown
            .iter()
            .map(|s| Line { play: s.play.clone(), game: "g".into(), number: 1, cells: BTreeMap::new() })
            .collect();
        first_or_seen(&mut lines, &shown);
        let said: Vec<_> = lines.iter().map(|l| l.word("picture").unwrap_or("?")).collect();
        assert_eq!(said, ["first time", "first time", "first time", "seen before", "?", "seen before"]);
    }
}
