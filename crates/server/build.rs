//! Compiles the crate again when the screens were built again: new files in a folder are not noticed otherwise.

fn main() {
    println!("cargo::rerun-if-changed=../../web/dist");
    println!("cargo::rerun-if-changed=../../demos");
}
