//! A test film taken through the way in.

#![allow(dead_code, reason = "each test file uses its own part")]
#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use film::testfilm::{TestFilm, read};
use film::{
    FilmError, Ingested, Monitor, OriginalReader, PixelFormat, Probe, ProxyReader, VideoTool, ingest, probe,
};
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use tempfile::TempDir;
use units::Rate;

pub fn rate(n: u32, d: u32) -> Rate {
    Rate::new(n, d).unwrap()
}

pub fn take_in(path: &Path, proxy: &Path) -> Result<(Probe, Ingested), FilmError> {
    take_in_with(&VideoTool::on_path(), path, proxy)
}

pub fn take_in_with(tool: &VideoTool, path: &Path, proxy: &Path) -> Result<(Probe, Ingested), FilmError> {
    let go = AtomicBool::new(false);
    let about = probe(&VideoTool::on_path(), path)?;
    let ingested = ingest(tool, path, &about, proxy, &mut Monitor::new(&go, &mut |_| {}))?;
    Ok((about, ingested))
}

pub struct Loaded {
    pub dir: TempDir,
    pub path: PathBuf,
    pub proxy_path: PathBuf,
    pub probe: Probe,
    pub ingested: Ingested,
    pub original: OriginalReader,
    pub proxy: ProxyReader,
}

impl Loaded {
    pub fn film(film: &TestFilm, name: &str) -> Self {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join(name);
        film.write(&VideoTool::on_path(), &path).unwrap();
        Self::file(dir, path)
    }
    pub fn file(dir: TempDir, path: PathBuf) -> Self {
        let proxy_path = dir.path().join("proxy.h264");
        let (probe, ingested) = take_in(&path, &proxy_path).unwrap();
        let tool = VideoTool::on_path();
        let original = OriginalReader::open(&tool, &path, &probe, &ingested.clock).unwrap();
        let proxy = ProxyReader::open(&tool, &proxy_path, &ingested.proxy).unwrap();
        Self { dir, path, proxy_path, probe, ingested, original, proxy }
    }
    /// Asks for frames from the original, the proxy and streams of both, and reads the index drawn in each.
    /// `first` is the index drawn in the film's first frame.
    pub fn prove_every_frame(&self, first: usize) {
        let n = self.ingested.clock.table.len();
        let what = self.path.display();
        for (name, stream) in [
            ("original", self.original.frames(0..n, PixelFormat::Gray8, None).unwrap()),
            ("proxy", self.proxy.frames(0..n, PixelFormat::Gray8, None).unwrap()),
        ] {
            let seen: Vec<_> = stream.map(|f| f.map(|(i, p)| (i, read(&p))).unwrap()).collect();
            let truth: Vec<_> = (0..n).map(|i| (i, Some(i + first))).collect();
            assert_eq!(seen, truth, "{name} of {what} in order");
        }
        // Backwards from the end, then here and there; the proxy on both sides of a keyframe.
        for i in [n - 1, n - 2, n / 2, 0, n * 5 / 6] {
            assert_eq!(
                read(&self.original.frame(i, PixelFormat::Gray8).unwrap()),
                Some(i + first),
                "original {what}"
            );
        }
        let mut session = self.proxy.session(PixelFormat::Gray8, None).unwrap();
        for i in [n - 1, 31, 30, 29, 15, 14, 1, n / 2] {
            assert_eq!(read(&session.frame(i).unwrap()), Some(i + first), "proxy of {what}");
        }
        assert_eq!(
            read(&self.proxy.frame(31, PixelFormat::Gray8).unwrap()),
            Some(31 + first),
            "proxy of {what}"
        );
        // A stream that begins and ends within the film.
        let part = n * 3 / 4..n - 2;
        let seen: Vec<_> =
            self.original.frames(part.clone(), PixelFormat::Gray8, Some((160, 96))).unwrap().collect();
        assert_eq!(seen.len(), part.len());
        for (f, i) in seen.into_iter().zip(part) {
            let (index, picture) = f.unwrap();
            assert_eq!((index, read(&picture), picture.width), (i, Some(i + first), 160), "part of {what}");
        }
    }
}

/// Runs ffmpeg itself, to make a file that the crate has no business making.
#[allow(clippy::disallowed_methods, reason = "tests make odd files with the tool directly")]
pub fn run_tool(args: &[&str]) {
    let out = std::process::Command::new("ffmpeg")
        .args(["-nostdin", "-v", "error", "-y"])
        .args(args)
        .output()
        .unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
}
