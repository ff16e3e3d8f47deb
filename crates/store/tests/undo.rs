//! Random edits, undone and redone, against a model kept in memory.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use play::{Claim, Evidence, Leaning};
use proptest::prelude::*;
use std::collections::BTreeMap;
use store::{Change, Edit, Kind, Place, Store, StoreError};

type State = BTreeMap<String, String>;

#[derive(Clone, Debug)]
enum Op {
    /// Puts or deletes (no text) some records at once, `after` ms after the last edit, as typing or not.
    Edit {
        records: Vec<(u8, Option<u8>)>,
        after: i64,
        typing: bool,
    },
    Undo,
    Redo,
}

fn ops() -> impl Strategy<Value = Vec<Op>> {
    let record = (0u8..4, prop::option::weighted(0.75, 0u8..5));
    let edit = (prop::collection::vec(record, 1..3), 0i64..3000, any::<bool>())
        .prop_map(|(records, after, typing)| Op::Edit { records, after, typing });
    prop::collection::vec(prop_oneof![4 => edit, 2 => Just(Op::Undo), 1 => Just(Op::Redo)], 1..30)
}

fn claim(id: &str, text: &str) -> Claim {
    Claim {
        id: id.into(),
        order: 1,
        text: text.into(),
        leaning: Leaning::Open,
        stage: None,
        strands: vec![],
        evidence: Evidence::default(),
        impression: false,
    }
}

/// A past edit of the model.
struct Past {
    after: State,
    typing: bool,
    at_ms: i64,
    records: Vec<String>,
}

struct Model {
    past: Vec<Past>,
    /// How many of `past` are in force.
    done: usize,
}

impl Model {
    fn state(&self) -> State {
        self.done.checked_sub(1).map(|k| self.past[k].after.clone()).unwrap_or_default()
    }
    /// True when something changes.
    fn edit(&mut self, changes: &[(String, Option<String>)], at_ms: i64, typing: bool) -> bool {
        let (mut after, mut records) = (self.state(), Vec::new());
        for (id, text) in changes {
            let before = after.get(id).cloned();
            if before == *text {
                continue;
            }
            match text {
                Some(t) => after.insert(id.clone(), t.clone()),
                None => after.remove(id),
            };
            records.push(id.clone());
        }
        if records.is_empty() {
            return false;
        }
        let clean = self.done == self.past.len();
        self.past.truncate(self.done);
        let joins = clean
            && typing
            && self
                .past
                .last()
                .is_some_and(|p| p.typing && at_ms - p.at_ms <= Edit::MERGE_MS && p.records == records);
        if joins {
            let last = self.past.last_mut().expect("just looked at");
            (last.after, last.at_ms) = (after, at_ms);
        } else {
            self.past.push(Past { after, typing, at_ms, records });
            self.done += 1;
        }
        true
    }
}

async fn stored(store: &Store) -> State {
    let claims: Vec<Claim> = store.list().await.unwrap();
    claims.into_iter().map(|c| (c.id.0, c.text)).collect()
}

async fn run(ops: Vec<Op>) {
    let dir = tempfile::tempdir().unwrap();
    let place = Place::new(&dir.path().join("a.tape")).unwrap();
    let store = Store::create(place.clone()).await.unwrap();
    let mut model = Model { past: Vec::new(), done: 0 };
    let mut at_ms = 0;
    let mut revision = store.revision().await.unwrap();
    for op in ops {
        let moved = match &op {
            Op::Edit { records, after, typing } => {
                at_ms += after;
                let changes: Vec<(String, Option<String>)> = records
                    .iter()
                    .map(|(id, text)| (format!("c{id}"), text.map(|t| format!("text {t}"))))
                    .collect();
                let expect = model.edit(&changes, at_ms, *typing);
                let puts: Vec<Change> = changes
                    .iter()
                    .map(|(id, text)| match text {
                        Some(t) => Change::put(&claim(id, t)),
                        None => Change::delete(Kind::Claim, id),
                    })
                    .collect();
                let edit = Edit { label: "write", play: None, at_ms, merge: typing.then_some("typing") };
                let applied = store.edit(&edit, &puts).await.unwrap();
                assert_eq!(applied.edit.is_some(), expect, "{op:?}");
                expect
            }
            Op::Undo if model.done == 0 => {
                assert!(matches!(store.undo().await, Err(StoreError::NothingToUndo)));
                false
            }
            Op::Undo => {
                store.undo().await.unwrap();
                model.done -= 1;
                true
            }
            Op::Redo if model.done == model.past.len() => {
                assert!(matches!(store.redo().await, Err(StoreError::NothingToRedo)));
                false
            }
            Op::Redo => {
                store.redo().await.unwrap();
                model.done += 1;
                true
            }
        };
        assert_eq!(stored(&store).await, model.state(), "{op:?}");
        let now = store.revision().await.unwrap();
        assert_eq!(now > revision, moved, "{op:?}");
        revision = now;
    }
    // All the way back, all the way forth, and across a new opening.
    let end = model.state();
    while store.undo().await.is_ok() {}
    assert_eq!(stored(&store).await, State::new());
    for _ in 0..model.done {
        store.redo().await.unwrap();
    }
    assert_eq!(stored(&store).await, end);
    store.close().await;
    let again = Store::open(place).await.unwrap();
    assert_eq!(stored(&again).await, end);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, ..ProptestConfig::default() })]
    #[test]
    fn random_edits_are_undone_and_redone(ops in ops()) {
        tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(run(ops));
    }
}
