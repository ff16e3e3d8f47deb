//! What words of events, results and directions usually mean. Common practice, no source; a mapping changes any of it.

use crate::headings::plain;
use crate::mapping::Event;
use field::Direction;
use play::ThrowResult;

/// What an event's word most likely means.
pub(crate) fn event(word: &str) -> Event {
    let w = plain(word);
    let has = |part: &[&str]| part.iter().any(|p| w.contains(p));
    match () {
        // The order matters: "pass outcome incomplete" has "complete" in it, "ball snap" may come as "snap direct".
        () if has(&["snap"]) && !has(&["presnap", "beforesnap"]) => Event::Snap,
        () if has(&["handoff", "handedoff"]) => Event::Handoff,
        () if has(&["punt", "kickoff", "fieldgoal", "extrapoint", "onsidekick", "kick"]) => Event::Kick,
        () if has(&["flag", "penalty", "foul"]) => Event::Foul,
        () if has(&["incomplete", "drop", "batted", "brokenup"]) => Event::Incomplete,
        () if has(&["intercept", "pickedoff"]) => Event::Intercepted,
        () if has(&["caught", "catch", "complete", "touchdown", "reception"])
            && has(&["pass", "caught", "catch", "complete", "reception"]) =>
        {
            Event::Caught
        }
        () if has(&["sack", "strip"]) => Event::Sack,
        () if has(&["arriv", "balltarget", "passend"]) => Event::Arrival,
        () if has(&["passforward", "throw", "release", "passstart", "passthrown", "shovel"])
            || w == "pass" =>
        {
            Event::Release
        }
        () if has(&["scramble", "runpass"]) || w == "run" => Event::Run,
        () if has(&["tackle", "outofbounds", "slide", "touchdown", "whistle", "endofplay", "downed"])
            || w == "end" =>
        {
            Event::Over
        }
        () => Event::Nothing,
    }
}

/// Events that a person entered come before those a program guessed, which such tables mark as automatic.
pub(crate) fn automatic(word: &str) -> bool {
    plain(word).starts_with("auto")
}

/// Which way "left", "right" and the like go along x.
pub(crate) fn going(word: &str) -> Option<Direction> {
    match plain(word).as_str() {
        "right" | "r" | "up" | "lefttoright" | "increasing" | "1" => Some(Direction::Up),
        "left" | "l" | "down" | "righttoleft" | "decreasing" => Some(Direction::Down),
        _ => match word {
            "+" | "+1" => Some(Direction::Up),
            "-" | "-1" | "\u{2212}1" => Some(Direction::Down),
            _ => None,
        },
    }
}

/// The side that a word names outright.
pub(crate) fn side(word: &str) -> Option<play::Unit> {
    match plain(word).as_str() {
        "offense" | "offence" | "off" | "o" | "attack" => Some(play::Unit::Offense),
        "defense" | "defence" | "def" | "d" => Some(play::Unit::Defense),
        _ => None,
    }
}

/// Whether a word names the home team's side, or the other's; `None` for other words.
pub(crate) fn at_home(word: &str) -> Option<bool> {
    match plain(word).as_str() {
        "home" | "h" => Some(true),
        "away" | "a" | "visitor" | "visitors" | "v" => Some(false),
        _ => None,
    }
}

/// Whether a word names the ball.
pub(crate) fn is_ball(word: &str) -> bool {
    matches!(plain(word).as_str(), "ball" | "football" | "theball")
}

/// Whether a word names the passer's position.
pub(crate) fn is_passer(word: &str) -> bool {
    matches!(plain(word).as_str(), "qb" | "quarterback" | "passer")
}

/// Whether a play of this kind is a pass play; what is not known to be none is one.
pub(crate) fn passes(kind: &str) -> bool {
    let k = plain(kind);
    let has = |part: &[&str]| part.iter().any(|p| k.contains(p));
    let other = ["punt", "kick", "fieldgoal", "extrapoint", "noplay", "kneel", "spike", "special", "rush"];
    has(&["pass", "sack", "scramble", "dropback"])
        || !(has(&other) || k.starts_with("run") || k.ends_with("run"))
}

/// What came of a throw, by letters and words that play lists use.
pub(crate) fn result(word: &str) -> Option<ThrowResult> {
    match plain(word).as_str() {
        "c" | "complete" | "comp" | "caught" | "completion" | "catch" => Some(ThrowResult::Complete),
        "i" | "inc" | "incomplete" | "incompletion" | "drop" | "dropped" => Some(ThrowResult::Incomplete),
        "in" | "int" | "intercepted" | "interception" => Some(ThrowResult::Intercepted),
        "s" | "sack" | "sacked" => Some(ThrowResult::Sacked),
        "r" | "run" | "scramble" | "scrambled" | "rush" => Some(ThrowResult::Scrambled),
        "ta" | "thrownaway" | "throwaway" => Some(ThrowResult::ThrownAway),
        "batted" | "bat" => Some(ThrowResult::Batted),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn events_are_read_through_their_spelling() {
        for (word, meaning) in [
            ("ball snap", Event::Snap),
            ("SNAP", Event::Snap),
            ("pass forward", Event::Release),
            ("auto: pass forward", Event::Release),
            ("throw", Event::Release),
            ("pass-arrived", Event::Arrival),
            ("outcome: pass caught", Event::Caught),
            ("pass complete", Event::Caught),
            ("outcome: incomplete", Event::Incomplete),
            ("interception", Event::Intercepted),
            ("touchdown pass", Event::Caught),
            ("passer sacked", Event::Sack),
            ("tackle", Event::Over),
            ("touchdown", Event::Over),
            ("first contact", Event::Nothing),
            ("man in motion", Event::Nothing),
            ("line set", Event::Nothing),
            ("handoff", Event::Handoff),
            ("fair catch of the punt", Event::Kick),
            ("penalty_flag", Event::Foul),
            ("reception", Event::Caught),
            ("pass release", Event::Release),
            ("play action", Event::Nothing),
        ] {
            assert_eq!(event(word), meaning, "{word}");
        }
    }
}
