//! Paths as text and back, and which paths may be touched.

use crate::WorkError;
use std::path::{Path, PathBuf};

/// Marks a path that is no valid text; the bytes follow in hexadecimal.
const RAW: &str = "raw-bytes:";

/// A path as text that gives the same path back.
///
/// # Errors
/// `Invalid` for a name that is no text on a system whose names are not bytes.
pub(crate) fn to_text(path: &Path) -> Result<String, WorkError> {
    if let Some(text) = path.to_str() {
        return Ok(text.to_owned());
    }
    #[cfg(unix)]
    {
        use std::os::unix::ffi::OsStrExt;
        let hex: String = path.as_os_str().as_bytes().iter().map(|b| format!("{b:02x}")).collect();
        Ok(format!("{RAW}{hex}"))
    }
    #[cfg(not(unix))]
    Err(WorkError::Invalid(format!("the name {} is not valid Unicode; rename the file", path.display())))
}

/// The path that [`to_text`] wrote.
pub(crate) fn from_text(text: &str) -> Result<PathBuf, WorkError> {
    let Some(hex) = text.strip_prefix(RAW) else { return Ok(text.into()) };
    #[cfg(unix)]
    {
        use std::os::unix::ffi::OsStringExt;
        let bytes: Option<Vec<u8>> = (0..hex.len() / 2)
            .map(|k| hex.get(2 * k..2 * k + 2).and_then(|h| u8::from_str_radix(h, 16).ok()))
            .collect();
        let bytes =
            bytes.ok_or_else(|| WorkError::Broken(format!("a stored path is not hexadecimal: {hex}")))?;
        Ok(std::ffi::OsString::from_vec(bytes).into())
    }
    #[cfg(not(unix))]
    Err(WorkError::Invalid(format!("the path {hex} was stored on another kind of system")))
}

/// The path with links and dots resolved, if it lies in one of `roots` (which are resolved too).
///
/// # Errors
/// `Io` when it is not there, `Outside` when it lies elsewhere.
pub(crate) fn within(path: &Path, roots: &[PathBuf]) -> Result<PathBuf, WorkError> {
    // A path that names no root by its own words is refused before the disk is asked, so that nobody learns what exists.
    let lexically = roots.iter().any(|r| path.starts_with(r))
        && !path.components().any(|c| c == std::path::Component::ParentDir);
    if !lexically {
        return Err(WorkError::Outside { path: path.into() });
    }
    let real = path.canonicalize().map_err(|e| match e.kind() {
        std::io::ErrorKind::NotFound => WorkError::Film(film::FilmError::Missing { path: path.into() }),
        _ => WorkError::io("reading", path, e),
    })?;
    let inside = roots.iter().filter_map(|r| r.canonicalize().ok()).any(|r| real.starts_with(r));
    if inside { Ok(real) } else { Err(WorkError::Outside { path: path.into() }) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[cfg(unix)]
    fn any_name_survives_as_text() {
        use std::os::unix::ffi::OsStrExt;
        for bytes in [&b"plain/film.mp4"[..], b"caf\xc3\xa9.mp4", b"\xff\xfe broken.mp4"] {
            let path = Path::new(std::ffi::OsStr::from_bytes(bytes));
            assert_eq!(from_text(&to_text(path).unwrap()).unwrap(), path);
        }
    }

    #[test]
    fn dots_links_and_neighbours_are_outside() {
        let dir = tempfile::tempdir().unwrap();
        let (inner, beside) = (dir.path().join("film"), dir.path().join("film-private"));
        std::fs::create_dir(&inner).unwrap();
        std::fs::create_dir(&beside).unwrap();
        std::fs::write(beside.join("x"), "x").unwrap();
        let roots = [inner.clone()];
        assert!(within(&inner, &roots).is_ok());
        for bad in [inner.join("../film-private/x"), beside.join("x"), dir.path().to_path_buf(), "/".into()] {
            assert!(matches!(within(&bad, &roots), Err(WorkError::Outside { .. })), "{}", bad.display());
        }
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(beside.join("x"), inner.join("link")).unwrap();
            assert!(matches!(within(&inner.join("link"), &roots), Err(WorkError::Outside { .. })));
        }
        assert!(matches!(
            within(&inner.join("none"), &roots),
            Err(WorkError::Film(film::FilmError::Missing { .. }))
        ));
    }
}
