//! Every direct dependency has its reason in `docs/dependencies.md`.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Names in the tables of dependencies of one manifest, our own crates left out.
fn outside(manifest: &Path, ours: &BTreeSet<String>) -> BTreeSet<String> {
    let text = fs::read_to_string(manifest).expect("a manifest");
    let manifest: toml::Table = text.parse().expect("a valid manifest");
    let tables = ["dependencies", "dev-dependencies", "build-dependencies"];
    let names = tables.iter().filter_map(|t| manifest.get(*t)?.as_table()).flat_map(|t| t.keys().cloned());
    names.filter(|n| !ours.contains(n)).collect()
}

#[test]
fn every_direct_dependency_has_its_reason() {
    let crates: Vec<PathBuf> =
        fs::read_dir(root().join("crates")).expect("crates").map(|e| e.expect("an entry").path()).collect();
    let ours = crates.iter().map(|c| c.file_name().expect("a name").to_string_lossy().into_owned()).collect();
    let mut wanted: BTreeSet<String> =
        crates.iter().flat_map(|c| outside(&c.join("Cargo.toml"), &ours)).collect();

    let package = fs::read_to_string(root().join("ui/package.json")).expect("the page's packages");
    let package: serde_json::Value = serde_json::from_str(&package).expect("valid JSON");
    let packages = ["dependencies", "devDependencies"].iter().filter_map(|t| package.get(t)?.as_object());
    wanted.extend(packages.flat_map(|t| t.keys().cloned()));

    for list in ["checks/requirements.txt", "checks/requirements-alone.txt"] {
        let python = fs::read_to_string(root().join(list)).expect("requirements");
        let pinned = python.lines().filter(|l| !l.starts_with('#') && !l.is_empty());
        wanted.extend(
            pinned.map(|l| l.split(['=', '<', '>', '~', '!', '[', ' ']).next().unwrap_or(l).to_owned()),
        );
    }

    assert!(wanted.len() > 40, "only {} dependencies were read; the manifests have many more", wanted.len());
    let text = fs::read_to_string(root().join("docs/dependencies.md")).expect("the reasons");
    let said: BTreeSet<&str> = text.split(|c: char| !(c.is_alphanumeric() || "-_@/".contains(c))).collect();
    let missing: Vec<_> = wanted.iter().filter(|w| !said.contains(w.as_str())).collect();
    assert!(missing.is_empty(), "no reason in docs/dependencies.md for {missing:?}");
}
