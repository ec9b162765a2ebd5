//! The theme is carried inside the program: a changed page or script must build it anew.

fn main() {
    println!("cargo::rerun-if-changed=theme");
}
