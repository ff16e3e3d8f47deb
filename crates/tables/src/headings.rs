//! Which headings usually mean what. Common words of such tables, no source.

/// What a column may be for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Use {
    Game,
    Play,
    Person,
    Time,
    Sample,
    X,
    Y,
    Side,
    Position,
    Shirt,
    Name,
    Event,
    Going,
    Quarter,
    Clock,
    Down,
    Distance,
    Offense,
    Gain,
    Result,
}

const KNOWN: &[(Use, &[&str])] = &[
    (Use::Game, &["game", "gameid", "match", "matchid", "gamekey"]),
    (Use::Play, &["play", "playid", "playnumber", "playno", "snapid", "playkey"]),
    (
        Use::Person,
        &[
            "person", "personid", "player", "playerid", "id", "entity", "entityid", "object", "objectid",
            "trackid",
        ],
    ),
    (Use::Time, &["time", "t", "seconds", "sec", "timestamp", "timesec", "instant", "clocktime"]),
    (Use::Sample, &["frame", "frameid", "frameno", "framenumber", "sample", "tick", "index"]),
    (Use::X, &["x", "xyd", "xyards", "xm", "xposition", "xpos", "posx", "fieldx", "along", "xcoord"]),
    (Use::Y, &["y", "yyd", "yyards", "ym", "yposition", "ypos", "posy", "fieldy", "across", "ycoord"]),
    (Use::Side, &["team", "side", "unit", "club", "teamname", "squad", "teamid", "colour", "color"]),
    (Use::Position, &["position", "pos", "role"]),
    (Use::Shirt, &["jersey", "jerseynumber", "shirt", "shirtnumber", "number", "num", "no"]),
    (Use::Name, &["name", "playername", "fullname", "who"]),
    (Use::Event, &["event", "events", "tag", "what", "happening"]),
    (Use::Going, &["going", "direction", "playdirection", "attacking", "attackdirection", "drive", "facing"]),
    (Use::Quarter, &["quarter", "qtr", "period", "q"]),
    (Use::Clock, &["gameclock", "clock", "timeleft", "timeremaining"]),
    (Use::Down, &["down"]),
    (Use::Distance, &["yardstogo", "togo", "distance", "dist", "ydstogo"]),
    (Use::Offense, &["possession", "offense", "offence", "posteam", "teamwithball"]),
    (Use::Gain, &["gain", "yards", "yardsgained", "gained", "playresult"]),
    (Use::Result, &["result", "outcome", "throwresult"]),
];

/// A heading without case and signs.
pub(crate) fn plain(heading: &str) -> String {
    heading.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// How well a heading names a use: 0 not at all; the usual words count more the earlier they stand.
pub(crate) fn fits(heading: &str, what: Use) -> f64 {
    let plain = plain(heading);
    let words = KNOWN.iter().find(|k| k.0 == what).map_or(&[][..], |k| k.1);
    match words.iter().position(|w| *w == plain) {
        Some(k) => 1.0 - 0.02 * k as f64,
        // Some longer word around it, as "home_team_name" or "x_smoothed"; a letter alone would be in everything.
        None if words.iter().any(|w| w.len() > 3 && plain.contains(w)) => 0.4,
        None if what == Use::Person && plain.ends_with("id") => 0.5,
        None => 0.0,
    }
}
