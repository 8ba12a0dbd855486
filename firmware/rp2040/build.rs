//! Linker scripts, for the board only.

use std::{env, fs, path::PathBuf};

fn main() {
    println!("cargo:rerun-if-changed=memory.x");
    if env::var("CARGO_CFG_TARGET_OS").as_deref() != Ok("none") {
        return;
    }
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("cargo sets OUT_DIR"));
    fs::copy("memory.x", out.join("memory.x")).expect("OUT_DIR can be written");
    println!("cargo:rustc-link-search={}", out.display());
    for script in ["--nmagic", "-Tlink.x", "-Tlink-rp.x", "-Tdefmt.x"] {
        println!("cargo:rustc-link-arg-bins={script}");
    }
}
