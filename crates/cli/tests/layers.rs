//! The architecture's invariants, read off the manifests and sources.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Layer of each crate, as in ARCHITECTURE.md. A crate depends only on lower layers.
const LAYERS: &[(&str, u8)] = &[
    ("units", 0),
    ("stats", 0),
    ("geometry", 1),
    ("picture", 1),
    ("field", 2),
    ("camera", 2),
    ("play", 3),
    ("register", 4),
    ("sighting", 4),
    ("motion", 4),
    ("tables", 5),
    ("window", 5),
    ("reads", 5),
    ("patterns", 5),
    ("film", 6),
    ("store", 6),
    ("report", 6),
    ("workbench", 7),
    ("server", 8),
    ("cli", 8),
];

/// Named debts: (crate, what it depends on, why it is allowed for now).
const DEBTS: &[(&str, &str, &str)] = &[
    ("picture", "geometry", "pixels are typed points; both know no football"),
    ("reads", "window", "a judgement weighs windows; both are layer 5 and nothing depends back"),
    ("cli", "server", "the only main starts the server; both are layer 8 and nothing depends back"),
];

/// What layers 0-5 must not name: files, clocks, environment, logs, processes, sockets.
const IMPURE: &[&str] = &[
    "std::fs",
    "std::env",
    "std::process",
    "std::net",
    "SystemTime",
    "Instant::now",
    "println!",
    "eprintln!",
    "ThreadPoolBuilder",
    "thread_rng",
    "rand::rng()",
    "sqlx",
    "tokio",
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn dependencies(krate: &str, table: &str) -> Vec<String> {
    let text = fs::read_to_string(root().join("crates").join(krate).join("Cargo.toml")).expect("a manifest");
    let manifest: toml::Table = text.parse().expect("a valid manifest");
    manifest.get(table).and_then(|t| t.as_table()).map(|t| t.keys().cloned().collect()).unwrap_or_default()
}

#[test]
fn crates_depend_only_on_lower_layers() {
    let layers: BTreeMap<_, _> = LAYERS.iter().copied().collect();
    let mut breaches = Vec::new();
    for (krate, layer) in LAYERS {
        for dependency in dependencies(krate, "dependencies") {
            if dependency == "scrimmage" {
                breaches.push(format!("{krate} imports scrimmage, which is for tests and the demo only"));
            }
            let Some(below) = layers.get(dependency.as_str()) else { continue };
            let owed = DEBTS.iter().any(|(a, b, _)| a == krate && *b == dependency);
            if below >= layer && !owed {
                breaches.push(format!("{krate} (layer {layer}) depends on {dependency} (layer {below})"));
            }
        }
    }
    assert!(breaches.is_empty(), "{breaches:#?}");
}

#[test]
fn every_crate_has_a_layer() {
    for entry in fs::read_dir(root().join("crates")).expect("crates") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        assert!(
            name == "scrimmage" || LAYERS.iter().any(|(k, _)| *k == name),
            "{name} has no layer in this test and in ARCHITECTURE.md"
        );
    }
}

#[test]
fn every_debt_is_still_owed() {
    for (krate, dependency, why) in DEBTS {
        assert!(
            dependencies(krate, "dependencies").iter().any(|d| d == dependency),
            "{krate} no longer owes {dependency} ({why}): delete the debt"
        );
    }
}

#[test]
fn the_film_generator_knows_nothing_of_the_estimators() {
    for dependency in dependencies("scrimmage", "dependencies") {
        let layer = LAYERS.iter().find(|(k, _)| *k == dependency).map(|(_, l)| *l);
        assert!(layer.is_none_or(|l| l <= 3), "scrimmage depends on {dependency}");
    }
}

#[test]
fn pure_layers_name_nothing_impure() {
    let mut breaches = Vec::new();
    for (krate, _) in LAYERS.iter().filter(|(_, layer)| *layer <= 5) {
        for path in sources(&root().join("crates").join(krate).join("src")) {
            let text = fs::read_to_string(&path).expect("a source");
            // Inline test modules may touch files; they close the file by convention.
            let product = text.split("#[cfg(test)]").next().unwrap_or_default();
            for (number, line) in product.lines().enumerate() {
                let code = line.split("//").next().unwrap_or_default();
                if let Some(word) = IMPURE.iter().find(|w| code.contains(**w)) {
                    breaches.push(format!("{}:{}: {word}", path.display(), number + 1));
                }
            }
        }
    }
    assert!(breaches.is_empty(), "{breaches:#?}");
}

#[test]
fn only_film_and_the_generator_run_a_process() {
    for (krate, _) in LAYERS.iter().filter(|(k, _)| *k != "film") {
        for path in sources(&root().join("crates").join(krate).join("src")) {
            let text = fs::read_to_string(&path).expect("a source");
            let product = text.split("#[cfg(test)]").next().unwrap_or_default();
            assert!(!product.contains("Command::new("), "{} runs a process", path.display());
        }
    }
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut out = Vec::new();
    for entry in fs::read_dir(folder).expect("a source folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            out.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
    out
}
