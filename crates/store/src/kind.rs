use play::{
    BallMark, Chart, Claim, Clip, FieldMark, FieldReading, FootMark, Game, HipMark, MomentMark, OwnCall,
    OwnConcept, Person, PersonMark, Play, PlayId, ReachFit, RegradeSet, Study, TrackRepair, Tracked,
};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::fmt;

macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident = $word:literal;)*) => {
        /// What a record is.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Kind { $($(#[$doc])* $name,)* }
        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Self] = &[$(Self::$name),*];
            /// The word in the database and in messages.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$name => $word),* }
            }
            /// The kind of a word.
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$name),)* _ => None }
            }
        }
    };
}

kinds! {
    /// The study's own facts; there is one.
    Study = "study";
    /// A game.
    Game = "game";
    /// A folder that films may be taken from.
    Folder = "folder";
    /// How tables of certain headings are read.
    TableMapping = "table mapping";
    /// A clip.
    Clip = "clip";
    /// A play with its situation.
    Play = "play";
    /// A play's chart.
    Chart = "chart";
    /// Somebody in a play.
    Person = "person";
    /// A click on paint.
    FieldMark = "field mark";
    /// Which yard line is which in a clip.
    FieldReading = "field reading";
    /// A moment.
    Moment = "moment";
    /// Where somebody stands.
    PersonMark = "person mark";
    /// The ball.
    BallMark = "ball mark";
    /// A foot.
    FootMark = "foot mark";
    /// The hips.
    HipMark = "hip mark";
    /// What was changed in the tracks found in film.
    TrackRepair = "track repair";
    /// People and ball out of a table of positions.
    Tracked = "tracked";
    /// The evaluator's call.
    Call = "call";
    /// A statement of the verdict.
    Claim = "claim";
    /// A concept as the evaluator drew it.
    Concept = "concept";
    /// Decisions called again, blind.
    RegradeSet = "regrade set";
    /// Parameters of the windows fitted to the study's throws; there is at most one.
    ReachFit = "reach fit";
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// Something that can be kept as a record.
pub trait Record: Sized {
    /// Its kind.
    const KIND: Kind;
    /// Its id, unique within the kind.
    fn id(&self) -> String;
    /// What it belongs to: a play, clip, film or game.
    fn owner(&self) -> Option<String>;
    /// As JSON.
    fn body(&self) -> serde_json::Result<String>;
    /// From JSON.
    ///
    /// # Errors
    /// When the JSON is not such a thing.
    fn read(owner: Option<&str>, body: &str) -> serde_json::Result<Self>;
}

/// Id and owner of a record.
type Naming<T> = fn(&T) -> (String, Option<String>);

macro_rules! record {
    ($type:ty, $kind:ident, $naming:expr) => {
        impl Record for $type {
            const KIND: Kind = Kind::$kind;
            fn id(&self) -> String {
                const NAMING: Naming<$type> = $naming;
                NAMING(self).0
            }
            fn owner(&self) -> Option<String> {
                const NAMING: Naming<$type> = $naming;
                NAMING(self).1
            }
            fn body(&self) -> serde_json::Result<String> {
                serde_json::to_string(self)
            }
            fn read(_owner: Option<&str>, body: &str) -> serde_json::Result<Self> {
                serde_json::from_str(body)
            }
        }
    };
}

/// A folder that the evaluator named; films are read from nowhere else.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FilmFolder {
    /// Unique in the study.
    pub id: String,
    /// Absolute path.
    pub path: String,
}

/// How tables of positions with certain headings were read, so that the next one is read the same way.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TableMapping {
    /// Unique in the study.
    pub id: String,
    /// The headings, in order.
    pub headings: Vec<String>,
    /// The mapping, as the layer that reads tables writes it.
    pub mapping: serde_json::Value,
}

record!(TableMapping, TableMapping, |m| (m.id.clone(), None));
record!(Study, Study, |_| ("study".to_owned(), None));
record!(Game, Game, |g| (g.id.0.clone(), None));
record!(FilmFolder, Folder, |f| (f.id.clone(), None));
record!(Clip, Clip, |c| (c.id.0.clone(), Some(c.film.0.clone())));
record!(Play, Play, |p| (p.id.0.clone(), Some(p.game.0.clone())));
record!(FieldMark, FieldMark, |m| (m.id.0.clone(), Some(m.clip.0.clone())));
record!(FieldReading, FieldReading, |r| (r.clip.0.clone(), Some(r.clip.0.clone())));
record!(Claim, Claim, |c| (c.id.0.clone(), None));
record!(OwnConcept, Concept, |c| (c.id.clone(), None));
record!(RegradeSet, RegradeSet, |s| (s.id.clone(), None));
record!(ReachFit, ReachFit, |_| ("reach fit".to_owned(), None));

/// A part of a play that does not name its play itself.
pub trait PlayPart: Serialize + DeserializeOwned {
    /// Kind of its record.
    const KIND: Kind;
    /// Its record's id in the given play.
    fn record_id(&self, play: &PlayId) -> String;
}

macro_rules! part {
    ($type:ty, $kind:ident, |$play:ident, $it:ident| $id:expr) => {
        impl PlayPart for $type {
            const KIND: Kind = Kind::$kind;
            fn record_id(&self, $play: &PlayId) -> String {
                let $it = self;
                $id
            }
        }
    };
}
part!(Chart, Chart, |play, _c| play.0.clone());
part!(Person, Person, |play, p| format!("{play}/{}", p.id));
part!(OwnCall, Call, |play, c| format!("{play}/{}", c.plan));
part!(Tracked, Tracked, |play, _t| play.0.clone());
part!(TrackRepair, TrackRepair, |_play, r| r.id.0.clone());
part!(MomentMark, Moment, |_play, m| m.id.0.clone());
part!(PersonMark, PersonMark, |_play, m| m.id.0.clone());
part!(BallMark, BallMark, |_play, m| m.id.0.clone());
part!(FootMark, FootMark, |_play, m| m.id.0.clone());
part!(HipMark, HipMark, |_play, m| m.id.0.clone());

/// A part together with its play.
#[derive(Clone, Debug, PartialEq)]
pub struct OfPlay<T> {
    /// The play.
    pub play: PlayId,
    /// The part.
    pub part: T,
}

impl<T: PlayPart> Record for OfPlay<T> {
    const KIND: Kind = T::KIND;
    fn id(&self) -> String {
        self.part.record_id(&self.play)
    }
    fn owner(&self) -> Option<String> {
        Some(self.play.0.clone())
    }
    fn body(&self) -> serde_json::Result<String> {
        serde_json::to_string(&self.part)
    }
    fn read(owner: Option<&str>, body: &str) -> serde_json::Result<Self> {
        let play = owner.ok_or_else(|| serde::de::Error::custom("it names no play"))?.into();
        Ok(Self { play, part: serde_json::from_str(body)? })
    }
}
