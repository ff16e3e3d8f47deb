use play::Plan;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Where a route breaks to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Toward {
    /// To the runner's own sideline.
    Outside,
    /// To the middle.
    Inside,
    /// Toward the passer.
    Back,
    /// Straight on downfield.
    Up,
    /// Away from leverage.
    Either,
}

/// A route.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(deny_unknown_fields)]
pub struct Route {
    /// Unique.
    pub id: String,
    /// Trade word.
    pub name: String,
    /// Other words for it.
    #[serde(default)]
    pub also: Vec<String>,
    /// Run from the backfield.
    #[serde(default)]
    pub back: bool,
    /// Usual depth of the break past the line, least and most, yd.
    pub depth: [f64; 2],
    /// Where it breaks to.
    pub toward: Toward,
    /// From the alignment: (yards downfield, yards to his own sideline).
    pub waypoints: Vec<[f64; 2]>,
}

/// What a concept stretches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Stretch {
    /// A man over and a man under one defender.
    HighLow,
    /// One defender between two men in width.
    InOut,
    /// Two receivers on one defender in his zone.
    TwoOnOne,
    /// Three on two.
    ThreeOnTwo,
    /// One-on-one.
    Matchup,
}

/// Routes by receiver, a drop and read plans.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Concept {
    /// Unique.
    pub id: String,
    /// In trade words.
    pub name: String,
    /// Other words for it.
    #[serde(default)]
    pub also: Vec<String>,
    /// Kind of concept, for menus.
    pub family: String,
    /// Id of its drop.
    pub drop: String,
    /// What it stretches.
    pub stretch: Stretch,
    /// Route id by slot.
    pub routes: BTreeMap<String, String>,
    /// Depth of the break where it is not the route's usual one, by slot, yd.
    #[serde(default)]
    pub depths: BTreeMap<String, f64>,
    /// Read plans, one to four.
    pub plans: Vec<Plan>,
}

impl Concept {
    /// It in the form of the playbook files.
    ///
    /// # Errors
    /// When a figure in it is no number that a file can hold.
    pub fn text(&self) -> Result<String, toml::ser::Error> {
        #[derive(Serialize)]
        struct File<'a> {
            concept: [&'a Concept; 1],
        }
        toml::to_string(&File { concept: [self] })
    }

    /// The same concept to the other side.
    pub fn mirrored(&self) -> Self {
        let turn = |slot: &str| -> String {
            match slot.as_bytes().first() {
                Some(b'L') => format!("R{}", &slot[1..]),
                Some(b'R') => format!("L{}", &slot[1..]),
                _ => slot.to_owned(),
            }
        };
        let mut other = self.clone();
        other.routes = self.routes.iter().map(|(s, r)| (turn(s), r.clone())).collect();
        other.depths = self.depths.iter().map(|(s, d)| (turn(s), *d)).collect();
        for plan in &mut other.plans {
            plan.hot = plan.hot.as_deref().map(turn);
            for look in &mut plan.looks {
                look.slot = turn(&look.slot);
                look.against = look.against.as_deref().map(turn);
            }
        }
        other
    }

    /// How many of the routes given as (slot, word) the concept has, and how many of its plans' looks are at those.
    pub fn agreement<'a>(
        &self,
        routes: impl Iterator<Item = (&'a str, &'a str)>,
        book: &super::Playbook,
    ) -> (usize, usize) {
        let (mut all, mut looked_at) = (0, 0);
        for (slot, word) in routes {
            let own = self.routes.get(slot).and_then(|id| book.route(id));
            if own.is_some_and(|r| r.answers_to(word)) {
                all += 1;
                looked_at += self.plans.iter().flat_map(|p| &p.looks).filter(|l| l.slot == slot).count();
            }
        }
        (all, looked_at)
    }

    /// The side of the concept that agrees better with the routes given as (slot, word). Where both sides are run alike,
    /// as in a mirrored concept, the routes do not tell which was read: then its first looks are at `side` (`L`, `R`),
    /// for example the side thrown to, or where it is drawn.
    pub fn oriented<'a>(
        &self,
        routes: impl Iterator<Item = (&'a str, &'a str)> + Clone,
        side: Option<char>,
        book: &super::Playbook,
    ) -> Self {
        let other = self.mirrored();
        let reads = |c: &Self, side: char| {
            c.plans.first().and_then(|p| p.looks.first()).is_some_and(|l| l.slot.starts_with(side))
        };
        let turn = match other.agreement(routes.clone(), book).cmp(&self.agreement(routes, book)) {
            std::cmp::Ordering::Greater => true,
            std::cmp::Ordering::Less => false,
            std::cmp::Ordering::Equal => side.is_some_and(|s| reads(&other, s) && !reads(self, s)),
        };
        if turn { other } else { self.clone() }
    }

    /// Whether `word` is its id, its name or another word for it.
    pub fn answers_to(&self, word: &str) -> bool {
        same_word(&self.id, word)
            || same_word(&self.name, word)
            || self.also.iter().any(|w| same_word(w, word))
    }
}

impl Route {
    /// Whether `word` is its id, its name or another word for it.
    pub fn answers_to(&self, word: &str) -> bool {
        same_word(&self.id, word)
            || same_word(&self.name, word)
            || self.also.iter().any(|w| same_word(w, word))
    }
}

/// Words alike but for case, hyphens and spaces.
fn same_word(a: &str, b: &str) -> bool {
    let letters = |s: &str| -> String {
        s.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
    };
    letters(a) == letters(b)
}

/// The deep middle after the snap.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Middle {
    /// Nobody deep in the middle.
    Open,
    /// Somebody deep in the middle.
    Closed,
}

/// Coverages that look alike from their deep men and how the others play.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// No deep help.
    Zero,
    /// One deep, man under.
    OneHighMan,
    /// One deep or three deep, zone under.
    OneHighZone,
    /// Two deep, man under.
    TwoHighMan,
    /// Two deep, zone under.
    TwoHighZone,
    /// Four deep.
    FourDeep,
    /// Quarters to one side, half to the other.
    Split,
}

/// A zone's place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Landmark {
    /// What it is called.
    pub zone: String,
    /// Past the line, yd.
    pub depth: f64,
    /// −1 the offense's right sideline, +1 its left.
    pub across: f64,
}

/// A coverage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Coverage {
    /// Unique.
    pub id: String,
    /// In trade words.
    pub name: String,
    /// Family.
    pub family: Family,
    /// Deep middle.
    pub middle: Middle,
    /// Man to man underneath.
    pub man: bool,
    /// Deep men.
    pub deep: u8,
    /// Underneath men.
    pub under: u8,
    /// Usual rush count.
    pub rushers: u8,
    /// Zones.
    pub landmarks: Vec<Landmark>,
}

/// A protection.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Protection {
    /// Unique.
    pub id: String,
    /// In trade words.
    pub name: String,
    /// Number of blockers.
    pub blockers: u8,
    /// Slide, half-slide or man.
    pub style: String,
    /// Whom nobody blocks.
    pub hot: String,
}

/// A drop.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drop {
    /// Unique.
    pub id: String,
    /// In trade words.
    pub name: String,
    /// Steps.
    pub steps: u8,
    /// When the last step lands, s from the snap.
    pub set: f64,
    /// When the ball is out, earliest and latest, s from the snap.
    pub out: [f64; 2],
}

/// What a list of words is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WordList {
    /// Sets.
    Formation,
    /// Motion.
    Motion,
    /// Protection.
    Protection,
    /// Coverage before the snap.
    CoverageBefore,
    /// Coverage after the snap.
    CoverageAfter,
    /// Concepts' names.
    Concept,
    /// Routes' names.
    Route,
    /// Pocket.
    Pocket,
    /// Drop.
    Drop,
    /// How it missed.
    Miss,
    /// Result.
    Result,
}

/// Word lists as in the file.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Words {
    /// Sets.
    pub formation: Vec<String>,
    /// Motion.
    pub motion: Vec<String>,
    /// Protection.
    pub protection: Vec<String>,
    /// Coverage before the snap.
    pub coverage_before: Vec<String>,
    /// Coverage after the snap.
    pub coverage_after: Vec<String>,
    /// Pocket.
    pub pocket: Vec<String>,
    /// Drop.
    pub drop: Vec<String>,
    /// How it missed.
    pub miss: Vec<String>,
    /// Result.
    pub result: Vec<String>,
}
