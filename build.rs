//! Builds the program again when a file of `reference/`, which is built in, is
//! changed or added.

fn main() {
    println!("cargo:rerun-if-changed=reference");
}
