use serde::{Deserialize, Serialize};
use std::fmt;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
        #[serde(transparent)]
        pub struct $name(pub String);
        impl $name {
            /// The id as text.
            pub fn as_str(&self) -> &str { &self.0 }
        }
        impl From<&str> for $name { fn from(s: &str) -> Self { Self(s.to_owned()) } }
        impl From<String> for $name { fn from(s: String) -> Self { Self(s) } }
        impl fmt::Display for $name { fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result { self.0.fmt(f) } }
    )*};
}

ids! {
    /// A game of the study.
    GameId;
    /// A play of a game.
    PlayId;
    /// One view's stretch of a film that shows a play.
    ClipId;
    /// A film file.
    FilmId;
    /// Something the evaluator put on a picture.
    MarkId;
    /// Somebody in a play: unique within the play, for example `passer`, `L1`, `R2`, `D3`.
    PersonId;
    /// A path that the program found in the film, before anybody says whose it is.
    TrackId;
    /// A statement of the verdict.
    ClaimId;
}
