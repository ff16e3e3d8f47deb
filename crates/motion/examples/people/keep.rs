//! Rendered film kept under `target/film`, for whoever works on the finders: rendering takes most of the time.

use super::Clip;
use camera::{CameraEstimate, Pinhole};
use play::View;
use serde::{Deserialize, Serialize};
use std::fs;
use std::path::{Path, PathBuf};

#[derive(Serialize, Deserialize)]
struct Head {
    view: View,
    size: (u32, u32),
    book: field::RuleBook,
    crown: f64,
    times: Vec<f64>,
    cameras: Vec<CameraEstimate>,
    truth: Vec<Pinhole>,
    lengths: Vec<usize>,
}

fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/film").join(name)
}

pub fn load(name: &str) -> Option<Clip> {
    let h: Head = serde_json::from_slice(&fs::read(file(&format!("{name}.json"))).ok()?).ok()?;
    let mut bytes = fs::read(file(&format!("{name}.jpegs"))).ok()?;
    let frames = h
        .lengths
        .iter()
        .map(|n| {
            let rest = bytes.split_off(*n);
            std::mem::replace(&mut bytes, rest)
        })
        .collect();
    Some(Clip {
        view: h.view,
        size: h.size,
        book: h.book,
        crown: field::Crown { height: h.crown },
        frames,
        times: h.times,
        cameras: h.cameras,
        truth: h.truth,
    })
}

pub fn save(name: &str, c: &Clip) {
    let head = Head {
        view: c.view,
        size: c.size,
        book: c.book,
        crown: c.crown.height,
        times: c.times.clone(),
        cameras: c.cameras.clone(),
        truth: c.truth.clone(),
        lengths: c.frames.iter().map(Vec::len).collect(),
    };
    fs::create_dir_all(file("")).expect("target can be written");
    fs::write(file(&format!("{name}.json")), serde_json::to_vec(&head).expect("plain data")).expect("room");
    fs::write(file(&format!("{name}.jpegs")), c.frames.concat()).expect("room");
}
