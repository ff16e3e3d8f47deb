//! Migrations are read at compile time; a new file must trigger a new build.
fn main() {
    println!("cargo:rerun-if-changed=migrations");
}
