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
    Speed,
    Course,
    Kind,
}

const KNOWN: &[(Use, &[&str])] = &[
    (Use::Game, &["game", "gameid", "match", "matchid", "gamekey", "contest", "fixture"]),
    (Use::Play, &["play", "playid", "playnumber", "playno", "snapid", "playkey", "snap", "rep", "clip"]),
    (
        Use::Person,
        &[
            "person",
            "personid",
            "player",
            "playerid",
            "athlete",
            "athleteid",
            "id",
            "entity",
            "entityid",
            "object",
            "objectid",
            "tracker",
            "trackerid",
            "track",
            "trackid",
            "sensor",
            "device",
            "wearer",
        ],
    ),
    (
        Use::Time,
        &[
            "time",
            "t",
            "seconds",
            "sec",
            "secs",
            "timestamp",
            "timesec",
            "instant",
            "clocktime",
            "utctime",
            "ms",
            "millis",
            "milliseconds",
            "datetime",
        ],
    ),
    (Use::Sample, &["frame", "frameid", "frameno", "framenumber", "sample", "tick", "index", "step"]),
    (
        Use::X,
        &[
            "x",
            "xyd",
            "xyards",
            "xm",
            "xposition",
            "xpos",
            "posx",
            "positionx",
            "fieldx",
            "along",
            "xcoord",
            "xcoordinate",
            "downfield",
            "longitudinal",
        ],
    ),
    (
        Use::Y,
        &[
            "y",
            "yyd",
            "yyards",
            "ym",
            "yposition",
            "ypos",
            "posy",
            "positiony",
            "fieldy",
            "across",
            "ycoord",
            "ycoordinate",
            "lateral",
            "width",
        ],
    ),
    (
        Use::Side,
        &["team", "side", "unit", "club", "teamname", "squad", "teamid", "teamcode", "colour", "color"],
    ),
    (Use::Position, &["position", "pos", "role", "positionname", "rosterposition"]),
    (Use::Shirt, &["jersey", "jerseynumber", "shirt", "shirtnumber", "number", "num", "no", "uniform"]),
    (Use::Name, &["name", "displayname", "playername", "fullname", "who"]),
    (Use::Event, &["event", "events", "eventname", "tag", "what", "happening", "label"]),
    (
        Use::Going,
        &[
            "going",
            "direction",
            "playdirection",
            "attackdirection",
            "attacking",
            "offensedirection",
            "drive",
            "facing",
        ],
    ),
    (Use::Quarter, &["quarter", "qtr", "period", "q"]),
    (Use::Clock, &["gameclock", "clock", "timeleft", "timeremaining"]),
    (Use::Down, &["down", "dn"]),
    (Use::Distance, &["yardstogo", "togo", "distance", "dist", "ydstogo", "ytg"]),
    (
        Use::Offense,
        &["possession", "possessionteam", "offense", "offence", "offteam", "posteam", "teamwithball"],
    ),
    (Use::Gain, &["gain", "yards", "yardsgained", "gained", "playresult", "netyards"]),
    (Use::Result, &["result", "passresult", "outcome", "throwresult"]),
    (Use::Speed, &["speed", "s", "v", "vel", "velocity", "pace", "rate"]),
    (
        Use::Course,
        &[
            "course",
            "dir",
            "direction",
            "heading",
            "bearing",
            "motionangle",
            "runningdirection",
            "angle",
            "orientation",
            "o",
        ],
    ),
    (Use::Kind, &["playtype", "kind", "type", "category"]),
];

/// Words beside a name that only say that it is one.
const NAMING: &[&str] = &["id", "no", "nr", "number", "num", "key", "code", "index", "ref", "uid"];

/// A heading without case and signs.
pub(crate) fn plain(heading: &str) -> String {
    heading.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// A heading's words, by signs, capitals and figures: `homeTeam_x2` is home, team, x, 2.
pub(crate) fn words(heading: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut before: Option<char> = None;
    for c in heading.chars() {
        let parts = match before {
            _ if !c.is_alphanumeric() => {
                before = None;
                continue;
            }
            None => true,
            Some(b) => b.is_lowercase() && c.is_uppercase() || b.is_numeric() != c.is_numeric(),
        };
        if parts {
            out.push(String::new());
        }
        if let Some(word) = out.last_mut() {
            word.extend(c.to_lowercase());
        }
        before = Some(c);
    }
    out
}

/// How well a heading names a use: 0 not at all; the usual words count more the earlier they stand.
pub(crate) fn fits(heading: &str, what: Use) -> f64 {
    let known = KNOWN.iter().find(|k| k.0 == what).map_or(&[][..], |k| k.1);
    if let Some(k) = known.iter().position(|w| *w == plain(heading)) {
        return 1.0 - 0.02 * k as f64;
    }
    // Some longer name around it, as "home_team_name" or "x_smoothed".
    let words = words(heading);
    let Some(k) = known.iter().position(|w| words.iter().any(|word| word == w)) else { return 0.0 };
    // What names games, plays and people holds nothing but that name: "playDirection" is no play.
    let alone = matches!(what, Use::Game | Use::Play | Use::Person);
    let rest = words.iter().filter(|w| *w != known[k]);
    if alone && rest.clone().any(|w| !NAMING.contains(&w.as_str())) { 0.0 } else { 0.5 - 0.01 * k as f64 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_fall_into_words_and_name_their_use() {
        assert_eq!(words("homeTeam_x2"), ["home", "team", "x", "2"]);
        assert_eq!(words("X (m)"), ["x", "m"]);
        for (heading, what) in [
            ("gameId", Use::Game),
            ("Play No.", Use::Play),
            ("tracker_id", Use::Person),
            ("utc time", Use::Time),
            ("pos_x", Use::X),
            ("yPos", Use::Y),
            ("TEAM_NAME", Use::Side),
            ("Speed (yd/s)", Use::Speed),
            ("motion_angle", Use::Course),
            ("passResult", Use::Result),
        ] {
            assert!(fits(heading, what) > 0.0, "{heading}");
        }
        assert!(fits("playDirection", Use::Play) == 0.0 && fits("displayName", Use::Play) == 0.0);
        assert!(fits("playerName", Use::Person) == 0.0);
    }
}
