//! From what the evaluator charted to the plans to judge under.

use play::{Chart, RouteCall};
use reads::judge::{concept_of, plans_for, unknown};
use reads::playbook::Playbook;
use scrimmage::sim::concept::Concept;

fn chart(concept: &str, routes: &[(&str, &str)]) -> Chart {
    let routes = routes.iter().map(|(s, r)| RouteCall { slot: (*s).into(), route: (*r).into() }).collect();
    Chart { concept: concept.into(), routes, ..Default::default() }
}

/// Words an evaluator would write, hyphened or not, whole or short; common practice, no source.
#[test]
fn the_trades_words_for_concepts_and_routes_are_found() {
    let book = Playbook::ours();
    let concepts = [
        "smash",
        "stick",
        "slant-flat",
        "curl-flat",
        "four verticals",
        "dagger",
        "flood",
        "mesh",
        "snag",
        "shallow cross with a dig",
        "post-dig",
        "screen",
        "double slants",
        "slot fade",
        "drive",
        "hitches",
    ];
    for word in concepts {
        assert!(!plans_for(&chart(word, &[]), &book).is_empty(), "{word}");
    }
    let routes = [
        "hitch",
        "quick out",
        "slant",
        "stick",
        "flat",
        "arrow",
        "swing",
        "bubble",
        "curl",
        "comeback",
        "dig",
        "deep out",
        "corner",
        "post",
        "go",
        "fade",
        "slot fade",
        "seam",
        "wheel",
        "shallow",
        "crosser",
        "mesh",
        "pivot",
        "spot",
        "screen",
        "check-down",
        "block",
    ];
    for word in routes {
        assert!(book.routes.iter().any(|r| r.answers_to(word)), "{word}");
    }
}

#[test]
fn the_routes_choose_among_concepts_of_one_word_and_the_side() {
    let book = Playbook::ours();
    let trips = [("L1", "go"), ("L2", "deep out"), ("L3", "flat"), ("R1", "crosser")];
    let flood = concept_of(&chart("flood", &trips), &book).expect("in the playbook");
    assert_eq!((flood.id.as_str(), flood.routes["L3"].as_str()), ("flood-trips", "flat"));
    assert_eq!(concept_of(&chart("Flood", &[]), &book).expect("in the playbook").id, "flood");
    let plans = plans_for(&chart("smash", &[("R1", "Hitch"), ("R2", "Corner"), ("L1", "Go")]), &book);
    assert!(plans.iter().all(|(_, p)| p.looks[0].slot == "R2"), "{plans:?}");
    // Run alike on both sides: the side thrown to.
    let both = [("L1", "Hitch"), ("L2", "Corner"), ("R1", "Hitch"), ("R2", "Corner")];
    for (target, first) in [("L1", "L2"), ("R1", "R2")] {
        let c = Chart { target: Some(target.into()), ..chart("smash", &both) };
        assert!(plans_for(&c, &book).iter().all(|(_, p)| p.looks[0].slot == first));
    }
}

#[test]
fn charted_plans_are_taken_in_their_order_and_unknown_ones_named() {
    let book = Playbook::ours();
    let mut c = chart("curl-flat", &[]);
    assert_eq!(plans_for(&c, &book).len(), book.concept("curl-flat").expect("in the playbook").plans.len());
    c.plans = vec!["progression".into(), "flat-defender".into(), "mirror".into()];
    let ids: Vec<String> = plans_for(&c, &book).into_iter().map(|(_, p)| p.id).collect();
    assert_eq!(ids, ["progression", "flat-defender"]);
    let findings = unknown(&c, &book);
    assert!(findings.len() == 1 && findings[0].message.contains("\"mirror\""), "{findings:?}");
    assert_eq!(unknown(&chart("", &[]), &book)[0].code, "no-concept");
    assert_eq!(unknown(&chart("wishbone", &[]), &book)[0].code, "unknown-concept");
    assert!(plans_for(&chart("wishbone", &[]), &book).is_empty());
}

/// The generator charts plays as an evaluator would: each of its read plans must be one of the playbook's, with the same men
/// looked at in the same order, to either side.
#[test]
fn plans_of_generated_plays_are_in_the_playbook() {
    let book = Playbook::ours();
    for c in Concept::ALL {
        let scheme = c.scheme();
        for strong in [1.0, -1.0] {
            let routes: Vec<(String, &str)> =
                scheme.routes.iter().map(|(who, r)| (who.slot(strong), r.word())).collect();
            let routes: Vec<(&str, &str)> = routes.iter().map(|(s, r)| (s.as_str(), *r)).collect();
            for plan in &scheme.plans {
                let looked: Vec<String> = plan.looks.iter().map(|(who, _)| who.slot(strong)).collect();
                let charted = Chart {
                    plans: vec![plan.id.clone()],
                    target: Some(looked[0].as_str().into()),
                    ..chart(c.word(), &routes)
                };
                assert!(unknown(&charted, &book).is_empty(), "{} has no {}", c.word(), plan.id);
                let ours = &plans_for(&charted, &book)[0].1;
                let slots: Vec<&str> = ours.looks.iter().take(2).map(|l| l.slot.as_str()).collect();
                let n = slots.len().min(looked.len());
                assert_eq!(slots[..n], looked[..n], "{} {}", c.word(), plan.id);
            }
        }
    }
}
