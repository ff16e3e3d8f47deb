//! Killed, damaged, locked, read-only, newer: nothing acknowledged is lost, and the reason is said.
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use play::{Claim, Evidence, Leaning, PlayId};
use sqlx::Connection;
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use std::path::Path;
use store::{Change, Edit, PastState, Place, Store, StoreError};

fn claim(n: usize) -> Claim {
    Claim {
        id: format!("c{n}").into(),
        order: n as u32,
        text: format!("text {n}"),
        leaning: Leaning::Open,
        stage: None,
        strands: vec![],
        evidence: Evidence::default(),
        impression: false,
    }
}

fn edit(label: &str) -> Edit<'_> {
    Edit { label, play: None, at_ms: 0, merge: None }
}

async fn study(dir: &Path, name: &str) -> Store {
    Store::create(Place::new(&dir.join(name)).unwrap()).await.unwrap()
}

async fn raw(store: &Store) -> SqliteConnection {
    SqliteConnection::connect_with(&SqliteConnectOptions::new().filename(store.place().database()))
        .await
        .unwrap()
}

#[tokio::test]
async fn a_program_killed_at_any_moment_loses_nothing_acknowledged() {
    let dir = tempfile::tempdir().unwrap();
    let store = study(dir.path(), "a.tape").await;
    for n in 0..6 {
        store.edit(&edit("write"), &[Change::put(&claim(n))]).await.unwrap();
        // What a kill now would leave on the disk, while the program still holds the study open.
        let left = Place::new(&dir.path().join(format!("left{n}.tape"))).unwrap();
        std::fs::create_dir_all(left.folder()).unwrap();
        for file in ["study.db", "study.db-wal"] {
            std::fs::copy(store.place().folder().join(file), left.folder().join(file)).unwrap();
        }
        let found = Store::open(left.clone()).await.unwrap();
        assert_eq!(found.list::<Claim>().await.unwrap().len(), n + 1);
        assert_eq!(found.history(None, 100).await.unwrap().len(), n + 1);
        found.close().await;
        // A write torn by a power cut: at most the last edit is gone, and the study opens.
        let torn = Place::new(&dir.path().join(format!("torn{n}.tape"))).unwrap();
        std::fs::create_dir_all(torn.folder()).unwrap();
        std::fs::copy(store.place().database(), torn.database()).unwrap();
        let wal = std::fs::read(store.place().folder().join("study.db-wal")).unwrap();
        std::fs::write(torn.folder().join("study.db-wal"), &wal[..wal.len() - 100]).unwrap();
        let found = Store::open(torn).await.unwrap();
        let kept = found.list::<Claim>().await.unwrap().len();
        assert!(kept == n || kept == n + 1, "{kept} of {}", n + 1);
    }
}

#[tokio::test]
async fn many_writers_all_land_in_one_history() {
    let dir = tempfile::tempdir().unwrap();
    let one = study(dir.path(), "a.tape").await;
    // The second stands for another program on the same study.
    let two = Store::open(one.place().clone()).await.unwrap();
    let mut tasks = Vec::new();
    for w in 0..6usize {
        let store = if w % 2 == 0 { one.clone() } else { two.clone() };
        tasks.push(tokio::spawn(async move {
            for k in 0..8 {
                store.edit(&edit("write"), &[Change::put(&claim(w * 8 + k))]).await.unwrap();
                store.list::<Claim>().await.unwrap();
            }
        }));
    }
    for t in tasks {
        t.await.unwrap();
    }
    assert_eq!(one.list::<Claim>().await.unwrap().len(), 48);
    let mut ids: Vec<i64> = two.history(None, 100).await.unwrap().iter().map(|p| p.id).collect();
    ids.reverse();
    assert_eq!(ids, (1..=48).collect::<Vec<_>>());
    let mut numbers = Vec::new();
    for s in [&one, &two, &one] {
        numbers.push(s.numbers(10).await.unwrap());
    }
    assert_eq!(numbers, [1, 11, 21]);
}

#[tokio::test]
async fn an_edit_is_whole_or_not_at_all() {
    let dir = tempfile::tempdir().unwrap();
    let store = study(dir.path(), "a.tape").await;
    let mut other = raw(&store).await;
    // Refuses the second of two records, as a full disk in the middle of an edit would.
    sqlx::query("CREATE TRIGGER refuse BEFORE INSERT ON record WHEN NEW.id = 'c1' BEGIN SELECT RAISE(ABORT, 'no'); END")
        .execute(&mut other)
        .await
        .unwrap();
    let both = [Change::put(&claim(0)), Change::put(&claim(1))];
    assert!(store.edit(&edit("write"), &both).await.is_err());
    assert!(store.list::<Claim>().await.unwrap().is_empty());
    assert!(store.history(None, 10).await.unwrap().is_empty());
}

#[tokio::test]
async fn history_tells_what_was_dropped_and_of_which_play() {
    let dir = tempfile::tempdir().unwrap();
    let store = study(dir.path(), "a.tape").await;
    let play = PlayId::from("p1");
    let of_play = Edit { play: Some(&play), ..edit("first") };
    store.edit(&of_play, &[Change::put(&claim(0))]).await.unwrap();
    store.undo().await.unwrap();
    store.edit(&edit("second"), &[Change::put(&claim(1))]).await.unwrap();
    let states: Vec<_> =
        store.history(None, 10).await.unwrap().into_iter().map(|p| (p.label, p.state)).collect();
    assert_eq!(states, [("second".into(), PastState::Done), ("first".into(), PastState::Dropped)]);
    assert_eq!(store.history(Some(&play), 10).await.unwrap().len(), 1);
    assert!(matches!(store.redo().await, Err(StoreError::NothingToRedo)));
}

#[tokio::test]
async fn a_damaged_file_is_named() {
    let dir = tempfile::tempdir().unwrap();
    let store = study(dir.path(), "a.tape").await;
    let place = store.place().clone();
    store.close().await;
    std::fs::write(place.database(), b"this is no database, however long it may be ......................")
        .unwrap();
    let e = Store::open(place).await.unwrap_err();
    assert!(matches!(e, StoreError::Damaged { .. }), "{e:?}");
    assert!(e.to_string().contains("study.db is damaged"), "{e}");
}

#[tokio::test]
async fn a_newer_study_is_refused_with_both_formats() {
    let dir = tempfile::tempdir().unwrap();
    let store = study(dir.path(), "a.tape").await;
    let mut c = raw(&store).await;
    sqlx::query("INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) VALUES (9001, 'later', 1, x'00', 0)")
        .execute(&mut c)
        .await
        .unwrap();
    let place = store.place().clone();
    store.close().await;
    let e = Store::open(place).await.unwrap_err();
    assert!(matches!(e, StoreError::Newer { found: 9001, known: 1 }), "{e:?}");
}

#[tokio::test]
async fn a_study_held_by_another_program_is_said_to_be_busy() {
    let dir = tempfile::tempdir().unwrap();
    let store = study(dir.path(), "a.tape").await;
    let mut other = raw(&store).await;
    sqlx::query("BEGIN IMMEDIATE").execute(&mut other).await.unwrap();
    let e = store.edit(&edit("write"), &[Change::put(&claim(0))]).await.unwrap_err();
    assert!(matches!(e, StoreError::Busy { waited_s: 5 }), "{e:?}");
    // Reading goes on meanwhile, and writing once the other has let go.
    assert!(store.list::<Claim>().await.unwrap().is_empty());
    sqlx::query("ROLLBACK").execute(&mut other).await.unwrap();
    store.edit(&edit("write"), &[Change::put(&claim(0))]).await.unwrap();
}

#[tokio::test]
async fn a_read_only_study_and_a_missing_one_are_told_apart() {
    let dir = tempfile::tempdir().unwrap();
    let store = study(dir.path(), "a.tape").await;
    let place = store.place().clone();
    store.close().await;
    let mut p = std::fs::metadata(place.database()).unwrap().permissions();
    p.set_readonly(true);
    std::fs::set_permissions(place.database(), p).unwrap();
    assert!(matches!(Store::open(place.clone()).await, Err(StoreError::ReadOnly)));
    let none = Place::new(&dir.path().join("none.tape")).unwrap();
    let e = Store::open(none).await.unwrap_err();
    assert!(e.to_string().starts_with("no study at"), "{e}");
    assert!(matches!(Store::create(place).await, Err(StoreError::Exists { .. })));
    assert!(matches!(Place::new(dir.path()), Err(StoreError::FolderName { .. })));
}

#[tokio::test]
async fn a_record_that_is_not_what_it_should_be_is_named() {
    let dir = tempfile::tempdir().unwrap();
    let store = study(dir.path(), "a.tape").await;
    store.edit(&edit("write"), &[Change::put(&claim(0))]).await.unwrap();
    let mut c = raw(&store).await;
    sqlx::query("UPDATE record SET body = '{\"id\":\"c0\"}'").execute(&mut c).await.unwrap();
    let e = store.list::<Claim>().await.unwrap_err().to_string();
    assert!(e.starts_with("claim c0 cannot be read: missing field"), "{e}");
    let e = store.get::<Claim>("c7").await.unwrap_err().to_string();
    assert_eq!(e, "there is no claim c7");
}
