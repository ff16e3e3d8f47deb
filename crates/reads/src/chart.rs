//! Type-ahead over trade words.

/// Words of `list` that `typed` could mean, best first: the word itself, words that begin so, words with a part that
/// begins so, words whose parts' initials spell it, words that hold its letters in order. Ties keep the list's order;
/// `recent` words (the evaluator's own, latest first) come before others of the same kind of match. At most `limit`.
pub fn suggestions<'a>(list: &[&'a str], recent: &[&str], typed: &str, limit: usize) -> Vec<&'a str> {
    let typed = plain(typed);
    let mut ranked: Vec<(u8, usize, usize, &str)> = list
        .iter()
        .enumerate()
        .filter_map(|(k, word)| {
            let kind = match_kind(&plain(word), &typed)?;
            let used = recent.iter().position(|r| r.eq_ignore_ascii_case(word)).unwrap_or(usize::MAX);
            Some((kind, used, k, *word))
        })
        .collect();
    ranked.sort();
    ranked.into_iter().take(limit).map(|r| r.3).collect()
}

/// Lower case; anything between words is one space.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        if c.is_alphanumeric() {
            out.extend(c.to_lowercase());
        } else if !out.is_empty() && !out.ends_with(' ') {
            out.push(' ');
        }
    }
    out.truncate(out.trim_end().len());
    out
}

fn match_kind(word: &str, typed: &str) -> Option<u8> {
    if typed.is_empty() || word == typed {
        return Some(0);
    }
    if word.starts_with(typed) {
        return Some(1);
    }
    let parts: Vec<&str> = word.split(' ').collect();
    if (1..parts.len()).any(|k| parts[k..].join(" ").starts_with(typed)) {
        return Some(2);
    }
    let initials: String = parts.iter().filter_map(|p| p.chars().next()).collect();
    let squeezed: String = typed.split(' ').collect();
    if squeezed.chars().count() > 1 && initials.starts_with(&squeezed) {
        return Some(3);
    }
    let mut rest = word.chars();
    squeezed.chars().all(|c| rest.any(|w| w == c)).then_some(4)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIST: [&str; 6] =
        ["Cover 1", "Cover 3 sky", "Cover 3 cloud", "Quarters", "Quarter-quarter-half", "Two-man"];

    #[test]
    fn nearer_matches_come_first() {
        assert_eq!(suggestions(&LIST, &[], "quarters", 9)[0], "Quarters");
        assert_eq!(suggestions(&LIST, &[], "cov", 2), vec!["Cover 1", "Cover 3 sky"]);
        assert_eq!(suggestions(&LIST, &[], "sky", 9), vec!["Cover 3 sky"]);
        assert_eq!(suggestions(&LIST, &[], "qqh", 9), vec!["Quarter-quarter-half"]);
        assert_eq!(suggestions(&LIST, &[], "c3c", 9)[0], "Cover 3 cloud");
        assert_eq!(suggestions(&LIST, &["two-man"], "", 1), vec!["Two-man"]);
        assert!(suggestions(&LIST, &[], "xyz", 9).is_empty());
    }

    proptest::proptest! {
        #[test]
        fn any_typing_is_safe(typed in "\\PC{0,12}") {
            let s = suggestions(&LIST, &[], &typed, 3);
            proptest::prop_assert!(s.len() <= 3);
        }
    }
}
