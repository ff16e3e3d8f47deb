//! Tables with one row an instant: columns that belong together by their headings.

use crate::headings::{Use, fits, words};
use crate::mapping::PersonColumns;
use std::collections::BTreeMap;

/// Fewer bodies with a column pair each are no such table.
const LEAST: usize = 8;

/// Everybody's columns, and the ball's, in the order of the headings; empty for another table.
pub(super) fn people(headings: &[String]) -> Vec<PersonColumns> {
    let mut found: BTreeMap<String, (usize, PersonColumns)> = BTreeMap::new();
    for (k, heading) in headings.iter().enumerate() {
        let parts = words(heading);
        if parts.len() < 2 {
            continue;
        }
        // The axis or measure stands first or last: "x_home_12", "home 12 x".
        let (first, last) = (&parts[0], &parts[parts.len() - 1]);
        let is = |w: &String| w == "x" || w == "y" || fits(w, Use::Speed) > 0.9 || fits(w, Use::Course) > 0.9;
        let (what, who) = match (is(last), is(first)) {
            (true, _) => (last, &parts[..parts.len() - 1]),
            (false, true) => (first, &parts[1..]),
            _ => continue,
        };
        let entry = found.entry(who.join(" ")).or_insert_with(|| {
            // His side is what stands before his number.
            let side: Vec<&str> = who
                .iter()
                .map(String::as_str)
                .take_while(|w| !w.bytes().all(|b| b.is_ascii_digit()))
                .collect();
            let side = (side.len() < who.len()).then(|| side.join(" "));
            (k, PersonColumns { person: who.join(" "), side, ..PersonColumns::default() })
        });
        let columns = &mut entry.1;
        match what.as_str() {
            "x" => columns.x = heading.clone(),
            "y" => columns.y = heading.clone(),
            w if fits(w, Use::Speed) > 0.9 => columns.speed = Some(heading.clone()),
            _ => columns.course = Some(heading.clone()),
        }
    }
    let mut people: Vec<_> =
        found.into_values().filter(|(_, p)| !p.x.is_empty() && !p.y.is_empty()).collect();
    people.sort_by_key(|p| p.0);
    if people.len() < LEAST { Vec::new() } else { people.into_iter().map(|p| p.1).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_belong_together_by_their_headings() {
        let of = |who: &str, k: usize| [format!("{who}{k}_x"), format!("{who}{k}_y")];
        let mut headings: Vec<String> = vec!["game_id".into(), "t".into()];
        headings.extend((1..=11).flat_map(|k| of("home", k)));
        headings.extend((1..=11).flat_map(|k| of("away", k)));
        headings.extend(["ball_x".into(), "ball_y".into()]);
        let got = people(&headings);
        assert_eq!(got.len(), 23);
        assert_eq!((got[0].person.as_str(), got[0].side.as_deref()), ("home 1", Some("home")));
        assert_eq!((got[22].person.as_str(), got[22].side.as_deref()), ("ball", None));
        assert_eq!((got[11].x.as_str(), got[11].y.as_str()), ("away1_x", "away1_y"));
        assert!(people(&["x".into(), "y".into(), "pos_x".into(), "pos_y".into()]).is_empty());
    }
}
