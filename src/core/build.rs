//! The tables are compiled in: a changed table builds the core anew.

fn main() {
    println!("cargo:rerun-if-changed=../../kb");
}
