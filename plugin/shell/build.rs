//! Keeps the plugin in memory once a host has loaded it.
//!
//! Rust's standard library leaves something to be run at the end of every thread that has been in the plugin. A
//! host that unloads the plugin while such a thread lives on would have it run what is no longer there: seen as
//! a crash at the thread's end. So the library asks the loader never to be unloaded.

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    let is_elf = matches!(std::env::var("CARGO_CFG_TARGET_OS").as_deref(), Ok("linux" | "freebsd"));
    if is_elf {
        println!("cargo::rustc-cdylib-link-arg=-Wl,-z,nodelete");
    }
}
