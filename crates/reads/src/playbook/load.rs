use super::types::{Concept, Coverage, Drop, Protection, Route, Stretch, WordList, Words};
use play::{Condition, Look, Plan, PlanKind};
use serde::Deserialize;
use std::collections::BTreeMap;
use toml::Spanned;

/// Why a playbook file was refused: the line and what is wrong there.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{file}, line {line}: {message}")]
pub struct DataError {
    /// Name the text was handed in under.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// What is wrong, with value, unit and limit where there are any.
    pub message: String,
}

/// Everything the playbook files say, checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Playbook {
    /// Routes, in file order.
    pub routes: Vec<Route>,
    /// Concepts.
    pub concepts: Vec<Concept>,
    /// Coverages.
    pub coverages: Vec<Coverage>,
    /// Protections.
    pub protections: Vec<Protection>,
    /// Drops.
    pub drops: Vec<Drop>,
    /// Words.
    pub words: Words,
}

const OURS: [(&str, &str); 7] = [
    ("routes.toml", include_str!("../../data/routes.toml")),
    ("drops.toml", include_str!("../../data/drops.toml")),
    ("protections.toml", include_str!("../../data/protections.toml")),
    ("coverages.toml", include_str!("../../data/coverages.toml")),
    ("words.toml", include_str!("../../data/words.toml")),
    ("concepts_quick.toml", include_str!("../../data/concepts_quick.toml")),
    ("concepts_dropback.toml", include_str!("../../data/concepts_dropback.toml")),
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawFile {
    #[serde(default)]
    route: Vec<Spanned<Route>>,
    #[serde(default)]
    concept: Vec<Spanned<RawConcept>>,
    #[serde(default)]
    coverage: Vec<Spanned<Coverage>>,
    #[serde(default)]
    protection: Vec<Spanned<Protection>>,
    #[serde(default)]
    drop: Vec<Spanned<Drop>>,
    #[serde(default)]
    words: Option<Words>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawConcept {
    id: String,
    name: String,
    #[serde(default)]
    also: Vec<String>,
    family: String,
    drop: Spanned<String>,
    stretch: Stretch,
    routes: BTreeMap<String, Spanned<String>>,
    #[serde(default)]
    depths: BTreeMap<String, Spanned<f64>>,
    plans: Vec<Spanned<RawPlan>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawPlan {
    id: String,
    name: String,
    kind: PlanKind,
    looks: Vec<Spanned<RawLook>>,
    #[serde(default)]
    hot: Option<Spanned<String>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawLook {
    slot: String,
    when: Condition,
    rhythm_s: f64,
    #[serde(default)]
    against: Option<String>,
}

/// Slots a concept may use.
const SLOTS: [&str; 7] = ["L1", "L2", "L3", "R1", "R2", "R3", "B"];

/// Collects what is wrong with one file.
struct Checker<'a> {
    file: &'a str,
    text: &'a str,
    errors: Vec<DataError>,
}

impl Checker<'_> {
    fn line(&self, at: usize) -> usize {
        self.text.as_bytes()[..at.min(self.text.len())].iter().filter(|&&b| b == b'\n').count() + 1
    }
    fn complain(&mut self, at: usize, message: String) {
        let line = self.line(at);
        self.errors.push(DataError { file: self.file.to_owned(), line, message });
    }
    fn within(&mut self, at: usize, what: &str, value: f64, unit: &str, (low, high): (f64, f64)) {
        if !(low..=high).contains(&value) {
            self.complain(at, format!("{what} is {value} {unit}, outside {low} to {high}"));
        }
    }
    fn words(&mut self, at: usize, what: &str, text: &str) {
        if text.trim().is_empty() {
            self.complain(at, format!("{what} is empty"));
        }
    }
}

/// Replaces by id or appends.
fn put<T>(list: &mut Vec<T>, item: T, id: impl Fn(&T) -> &str) {
    match list.iter().position(|x| id(x) == id(&item)) {
        Some(k) => list[k] = item,
        None => list.push(item),
    }
}

fn duplicates<'t>(check: &mut Checker<'_>, kind: &str, items: impl Iterator<Item = (usize, &'t str)>) {
    let mut seen: Vec<&str> = Vec::new();
    for (at, id) in items {
        if seen.contains(&id) {
            check.complain(at, format!("{kind} \"{id}\" stands here a second time"));
        }
        check.words(at, &format!("{kind} id"), id);
        seen.push(id);
    }
}

impl Playbook {
    /// Our own playbook.
    pub fn ours() -> Self {
        let mut book = Self {
            routes: Vec::new(),
            concepts: Vec::new(),
            coverages: Vec::new(),
            protections: Vec::new(),
            drops: Vec::new(),
            words: Words::default(),
        };
        for (file, text) in OURS {
            book.overlay(file, text).expect("the embedded files are tested");
        }
        book
    }

    /// Lays a user's text over this playbook: entries replace ours by id, lists of words replace ours where they are not
    /// empty. Nothing changes when anything in the text is wrong.
    ///
    /// # Errors
    /// Everything that is wrong, each with its line.
    pub fn overlay(&mut self, file: &str, text: &str) -> Result<(), Vec<DataError>> {
        let mut check = Checker { file, text, errors: Vec::new() };
        let raw: RawFile = match toml::from_str(text) {
            Ok(raw) => raw,
            Err(e) => {
                check.complain(e.span().map_or(0, |s| s.start), e.message().to_owned());
                return Err(check.errors);
            }
        };
        duplicates(&mut check, "route", raw.route.iter().map(|r| (r.span().start, r.get_ref().id.as_str())));
        duplicates(
            &mut check,
            "coverage",
            raw.coverage.iter().map(|r| (r.span().start, r.get_ref().id.as_str())),
        );
        duplicates(
            &mut check,
            "protection",
            raw.protection.iter().map(|r| (r.span().start, r.get_ref().id.as_str())),
        );
        duplicates(&mut check, "drop", raw.drop.iter().map(|r| (r.span().start, r.get_ref().id.as_str())));
        duplicates(
            &mut check,
            "concept",
            raw.concept.iter().map(|r| (r.span().start, r.get_ref().id.as_str())),
        );
        let mut next = self.clone();
        for r in raw.route {
            check_route(&mut check, r.span().start, r.get_ref());
            put(&mut next.routes, r.into_inner(), |x| &x.id);
        }
        for c in raw.coverage {
            check_coverage(&mut check, c.span().start, c.get_ref());
            put(&mut next.coverages, c.into_inner(), |x| &x.id);
        }
        for p in raw.protection {
            check.within(p.span().start, "blockers", f64::from(p.get_ref().blockers), "men", (5.0, 9.0));
            put(&mut next.protections, p.into_inner(), |x| &x.id);
        }
        for d in raw.drop {
            let (at, drop) = (d.span().start, d.get_ref());
            check.within(at, "set", drop.set, "s", (0.3, 5.0));
            check.within(at, "earliest ball out", drop.out[0], "s", (0.3, 6.0));
            check.within(at, "latest ball out", drop.out[1], "s", (drop.out[0], 8.0));
            put(&mut next.drops, d.into_inner(), |x| &x.id);
        }
        for c in raw.concept {
            let concept = check_concept(&mut check, &next, c.span().start, c.into_inner());
            put(&mut next.concepts, concept, |x| &x.id);
        }
        if let Some(words) = raw.words {
            next.words.lay_over(words);
        }
        // A replaced route or drop may have been the last of its id that an older concept needs; ids only ever replace, so
        // every concept still finds its own.
        if check.errors.is_empty() {
            *self = next;
            Ok(())
        } else {
            check.errors.sort_by_key(|e| e.line);
            Err(check.errors)
        }
    }

    /// The route `id`.
    pub fn route(&self, id: &str) -> Option<&Route> {
        self.routes.iter().find(|r| r.id == id)
    }
    /// How usual a route is in this playbook's concepts for whoever lines up like `slot` (outside, inside, back), as a
    /// share of their routes; never 0.
    pub fn usual(&self, route: &str, slot: &str) -> f64 {
        let kind = |slot: &str| (slot == "B", slot.ends_with('1'));
        let (mut runs, mut all) = (0.5, 0.5 * self.routes.len() as f64);
        for (_, id) in self.concepts.iter().flat_map(|c| &c.routes).filter(|(s, _)| kind(s) == kind(slot)) {
            all += 1.0;
            runs += f64::from(u8::from(id == route));
        }
        runs / all
    }
    /// The concept `id`, or of that name.
    pub fn concept(&self, id: &str) -> Option<&Concept> {
        self.concepts.iter().find(|c| c.id == id).or_else(|| self.concepts.iter().find(|c| c.answers_to(id)))
    }
    /// The drop `id`, or of that name.
    pub fn drop(&self, id: &str) -> Option<&Drop> {
        self.drops
            .iter()
            .find(|d| d.id == id)
            .or_else(|| self.drops.iter().find(|d| d.name.eq_ignore_ascii_case(id)))
    }
    /// Words of a list, in file order.
    pub fn words(&self, list: WordList) -> Vec<&str> {
        fn all(v: &[String]) -> Vec<&str> {
            v.iter().map(String::as_str).collect()
        }
        match list {
            WordList::Formation => all(&self.words.formation),
            WordList::Motion => all(&self.words.motion),
            WordList::Protection => all(&self.words.protection),
            WordList::CoverageBefore => all(&self.words.coverage_before),
            WordList::CoverageAfter => all(&self.words.coverage_after),
            WordList::Concept => self.concepts.iter().map(|c| c.name.as_str()).collect(),
            WordList::Route => self.routes.iter().map(|r| r.name.as_str()).collect(),
            WordList::Pocket => all(&self.words.pocket),
            WordList::Drop => all(&self.words.drop),
            WordList::Miss => all(&self.words.miss),
            WordList::Result => all(&self.words.result),
        }
    }
}

impl Words {
    fn lay_over(&mut self, o: Self) {
        let pairs = [
            (&mut self.formation, o.formation),
            (&mut self.motion, o.motion),
            (&mut self.protection, o.protection),
            (&mut self.coverage_before, o.coverage_before),
            (&mut self.coverage_after, o.coverage_after),
            (&mut self.pocket, o.pocket),
            (&mut self.drop, o.drop),
            (&mut self.miss, o.miss),
            (&mut self.result, o.result),
        ];
        for (ours, theirs) in pairs {
            if !theirs.is_empty() {
                *ours = theirs;
            }
        }
    }
}

fn check_route(check: &mut Checker<'_>, at: usize, r: &Route) {
    check.words(at, "route name", &r.name);
    check.within(at, "least depth", r.depth[0], "yd", (-8.0, 60.0));
    check.within(at, "greatest depth", r.depth[1], "yd", (r.depth[0], 60.0));
    if r.waypoints.len() < 2 {
        check.complain(
            at,
            format!("route \"{}\" has {} waypoints; it takes at least 2", r.id, r.waypoints.len()),
        );
    }
    for w in &r.waypoints {
        check.within(at, "waypoint downfield", w[0], "yd", (-10.0, 60.0));
        check.within(at, "waypoint to the sideline", w[1], "yd", (-53.4, 53.4));
    }
}

fn check_coverage(check: &mut Checker<'_>, at: usize, c: &Coverage) {
    check.words(at, "coverage name", &c.name);
    let men = c.deep + c.under + c.rushers;
    if men != 11 {
        check.complain(
            at,
            format!(
                "coverage \"{}\" has {men} men: {} deep, {} under, {} rushing; it takes 11",
                c.id, c.deep, c.under, c.rushers
            ),
        );
    }
    for l in &c.landmarks {
        check.within(at, &format!("depth of \"{}\"", l.zone), l.depth, "yd", (0.0, 40.0));
        check.within(at, &format!("place across of \"{}\"", l.zone), l.across, "", (-1.0, 1.0));
    }
}

fn check_concept(check: &mut Checker<'_>, book: &Playbook, at: usize, raw: RawConcept) -> Concept {
    check.words(at, "concept name", &raw.name);
    if book.drop(raw.drop.get_ref()).is_none() {
        check.complain(raw.drop.span().start, format!("drop \"{}\" is not known", raw.drop.get_ref()));
    }
    let mut routes = BTreeMap::new();
    for (slot, route) in raw.routes {
        let from = route.span().start;
        if !SLOTS.contains(&slot.as_str()) {
            check.complain(from, format!("slot \"{slot}\" is not one of {}", SLOTS.join(", ")));
        }
        if book.route(route.get_ref()).is_none() {
            check.complain(from, format!("route \"{}\" is not known", route.get_ref()));
        }
        routes.insert(slot, route.into_inner());
    }
    if !(2..=5).contains(&routes.len()) {
        check.complain(at, format!("concept \"{}\" has {} routes, outside 2 to 5", raw.id, routes.len()));
    }
    let mut depths = BTreeMap::new();
    for (slot, depth) in raw.depths {
        let from = depth.span().start;
        if !routes.contains_key(&slot) {
            check.complain(from, format!("depth given for slot \"{slot}\", which has no route"));
        }
        check.within(from, "depth", *depth.get_ref(), "yd", (-8.0, 60.0));
        depths.insert(slot, depth.into_inner());
    }
    if !(1..=4).contains(&raw.plans.len()) {
        check.complain(
            at,
            format!("concept \"{}\" has {} read plans, outside 1 to 4", raw.id, raw.plans.len()),
        );
    }
    let mut plans: Vec<Plan> = Vec::new();
    for plan in raw.plans {
        let from = plan.span().start;
        let plan = check_plan(check, &routes, from, plan.into_inner());
        if plans.iter().any(|p| p.id == plan.id) {
            check.complain(from, format!("read plan \"{}\" stands here a second time", plan.id));
        }
        plans.push(plan);
    }
    Concept {
        id: raw.id,
        name: raw.name,
        also: raw.also,
        family: raw.family,
        drop: raw.drop.into_inner(),
        stretch: raw.stretch,
        routes,
        depths,
        plans,
    }
}

fn check_plan(check: &mut Checker<'_>, routes: &BTreeMap<String, String>, at: usize, raw: RawPlan) -> Plan {
    check.words(at, "read plan id", &raw.id);
    check.words(at, "read plan name", &raw.name);
    if raw.looks.is_empty() {
        check.complain(at, format!("read plan \"{}\" has no look", raw.id));
    }
    let has = |slot: &str| routes.get(slot).is_some_and(|r| r != "block");
    if let Some(hot) = &raw.hot
        && !has(hot.get_ref())
    {
        check.complain(
            hot.span().start,
            format!("hot slot \"{}\" runs no route in this concept", hot.get_ref()),
        );
    }
    let mut looks = Vec::new();
    for look in raw.looks {
        let from = look.span().start;
        let RawLook { slot, when, rhythm_s, against } = look.into_inner();
        for s in std::iter::once(&slot).chain(&against) {
            if !has(s) {
                check.complain(from, format!("look at slot \"{s}\", which runs no route in this concept"));
            }
        }
        if against.as_ref() == Some(&slot) {
            check.complain(from, format!("slot \"{slot}\" stands against itself"));
        }
        check.within(from, "rhythm_s", rhythm_s, "s", (0.0, 4.0));
        looks.push(Look { slot, when, rhythm_s, against });
    }
    Plan { id: raw.id, name: raw.name, kind: raw.kind, looks, hot: raw.hot.map(Spanned::into_inner) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn our_playbook_is_as_large_as_it_says() {
        let book = Playbook::ours();
        assert!(book.concepts.len() >= 35, "{}", book.concepts.len());
        assert!(book.coverages.len() >= 12 && book.protections.len() >= 6 && book.drops.len() >= 6);
        let kinds: Vec<PlanKind> =
            book.concepts.iter().flat_map(|c| c.plans.iter().map(|p| p.kind)).collect();
        for kind in [PlanKind::Progression, PlanKind::Key, PlanKind::Picture, PlanKind::Matchup] {
            assert!(kinds.contains(&kind), "{kind:?}");
        }
        for list in [
            WordList::Formation,
            WordList::Motion,
            WordList::CoverageAfter,
            WordList::Route,
            WordList::Miss,
            WordList::Result,
        ] {
            assert!(book.words(list).len() >= 7, "{list:?}");
        }
    }

    #[test]
    fn our_files_repeat_no_id() {
        let (mut concepts, book) = (0, Playbook::ours());
        for (_, text) in OURS {
            concepts += text.lines().filter(|l| l.trim() == "[[concept]]").count();
        }
        assert_eq!(concepts, book.concepts.len());
    }

    #[test]
    fn a_users_file_replaces_by_id_and_leaves_the_rest() {
        let mut book = Playbook::ours();
        let before = book.concepts.len();
        let text = r#"
[[concept]]
id = "smash"
name = "Smash our way"
family = "high-low"
drop = "three"
stretch = "high-low"
routes = { L1 = "hitch", L2 = "corner" }
[[concept.plans]]
id = "one"
name = "Corner, hitch"
kind = "progression"
looks = [ { slot = "L2", when = "always", rhythm_s = 0.2 }, { slot = "L1", when = "always", rhythm_s = 0.6 } ]
[words]
pocket = ["Firm"]
"#;
        book.overlay("mine.toml", text).unwrap();
        assert_eq!(book.concepts.len(), before);
        assert_eq!(book.concept("smash").unwrap().name, "Smash our way");
        assert_eq!(book.words(WordList::Pocket), vec!["Firm"]);
        assert!(book.words(WordList::Miss).len() > 5);
    }

    #[test]
    fn every_fault_is_named_with_its_line() {
        let mut book = Playbook::ours();
        let text = "[[concept]]\nid = \"x\"\nname = \"X\"\nfamily = \"f\"\ndrop = \"nine\"\nstretch = \"high-low\"\nroutes = { L1 = \"hitch\", L7 = \"corner\", B = \"loop\" }\n[[concept.plans]]\nid = \"p\"\nname = \"P\"\nkind = \"progression\"\nlooks = [\n  { slot = \"L1\", when = \"always\", rhythm_s = 9.0 },\n  { slot = \"R1\", when = \"always\", rhythm_s = 0.1 },\n]\n";
        let errors = book.overlay("mine.toml", text).unwrap_err();
        let lines: Vec<(usize, &str)> = errors.iter().map(|e| (e.line, e.message.as_str())).collect();
        assert_eq!(
            lines,
            vec![
                (5, "drop \"nine\" is not known"),
                (7, "route \"loop\" is not known"),
                (7, "slot \"L7\" is not one of L1, L2, L3, R1, R2, R3, B"),
                (13, "rhythm_s is 9 s, outside 0 to 4"),
                (14, "look at slot \"R1\", which runs no route in this concept"),
            ]
        );
        assert_eq!(book, Playbook::ours(), "nothing was changed");
        let e = &book.overlay("mine.toml", "[[drop]]\nid = \"a\"\nstpes = 3\n").unwrap_err()[0];
        assert!(e.line >= 1 && e.to_string().starts_with("mine.toml, line "), "{e}");
        assert!(book.overlay("mine.toml", "x = [").is_err());
    }

    #[test]
    fn mirrored_twice_is_the_same() {
        for c in Playbook::ours().concepts {
            assert_eq!(c.mirrored().mirrored(), c);
        }
    }

    #[test]
    fn a_concept_turns_to_the_side_it_was_run_to() {
        let book = Playbook::ours();
        let stick = book.concept("stick").unwrap();
        let ran = [("L3", "Stick"), ("L2", "Flat"), ("R1", "Slant")];
        assert_eq!(stick.oriented(ran.into_iter(), None, &book).plans[0].looks[0].slot, "L3");
        let ran = [("R3", "stick")];
        assert_eq!(&stick.oriented(ran.into_iter(), None, &book), stick);
    }
}
