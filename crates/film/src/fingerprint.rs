use crate::error::READING;
use crate::{FilmError, Monitor};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// BLAKE3 of a file's content: tells whether two files are the same film, whatever their names.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Fingerprint(String);

impl Fingerprint {
    /// 64 lower-case hexadecimal digits.
    pub fn as_hex(&self) -> &str {
        &self.0
    }
}
impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Reads the file through once. Progress counts bytes.
///
/// # Errors
/// `Missing`, `Io`, `Cancelled`.
pub fn fingerprint(path: &Path, monitor: &mut Monitor<'_>) -> Result<Fingerprint, FilmError> {
    let fail = |e| FilmError::io(READING, path, e);
    let mut file = File::open(path).map_err(fail)?;
    let total = file.metadata().map_err(fail)?.len();
    let mut hasher = blake3::Hasher::new();
    let mut chunk = vec![0; 1 << 20];
    let mut done = 0;
    monitor.restart();
    loop {
        monitor.check()?;
        let n = file.read(&mut chunk).map_err(fail)?;
        if n == 0 {
            break;
        }
        hasher.update(&chunk[..n]);
        done += n as u64;
        monitor.tell(done, Some(total));
    }
    monitor.tell_now(done, Some(total));
    Ok(Fingerprint(hasher.finalize().to_hex().to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::AtomicBool;

    /// The BLAKE3 paper's test vector for no input (O'Connor et al. 2020, test_vectors.json, input_len 0) and a
    /// content of known hash, across names.
    #[test]
    fn empty_content_has_the_published_hash_and_names_do_not_matter() {
        let dir = tempfile::tempdir().unwrap();
        let stop = AtomicBool::new(false);
        let of = |name: &str, bytes: &[u8]| {
            let p = dir.path().join(name);
            std::fs::write(&p, bytes).unwrap();
            fingerprint(&p, &mut Monitor::new(&stop, &mut |_| {})).unwrap()
        };
        assert_eq!(
            of("none", b"").as_hex(),
            "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262"
        );
        let big = vec![7u8; (1 << 20) + 3];
        assert_eq!(of("a", &big), of("b", &big));
        assert_ne!(of("a", &big), of("c", &big[1..]));
    }

    #[test]
    fn stops_on_request() {
        let dir = tempfile::tempdir().unwrap();
        let p = dir.path().join("x");
        std::fs::write(&p, b"x").unwrap();
        let stop = AtomicBool::new(true);
        assert!(matches!(fingerprint(&p, &mut Monitor::new(&stop, &mut |_| {})), Err(FilmError::Cancelled)));
    }
}
