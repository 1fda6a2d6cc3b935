//! Packs engine and scripts for the page: compressed, and as letters that HTML can hold. Only the
//! program needs them.

#[cfg(feature = "cli")]
#[allow(dead_code)]
#[path = "lean.rs"]
mod lean;

/// The scripts, one scope for all, in this order.
#[cfg(feature = "cli")]
const SCRIPTS: [&str; 15] = [
    "base.js",
    "work.js",
    "drawing.js",
    "whatif.js",
    "undo.js",
    "plan.js",
    "charts.js",
    "ask.js",
    "cut.js",
    "owner.js",
    "owned.js",
    "told.js",
    "changes.js",
    "files.js",
    "start.js",
];

#[cfg(not(feature = "cli"))]
fn main() {}

#[cfg(feature = "cli")]
fn main() -> std::io::Result<()> {
    const ENGINE: &str = "src/page/engine.wasm";
    println!("cargo::rerun-if-changed={ENGINE}");
    println!("cargo::rerun-if-changed=src/page/build.rs");
    println!("cargo::rerun-if-changed=src/page/lean.rs");
    let mut scripts = String::new();
    for name in SCRIPTS {
        let path = format!("src/page/{name}");
        println!("cargo::rerun-if-changed={path}");
        scripts += &std::fs::read_to_string(path)?;
    }
    let scripts = format!(
        "(() => {{\n\"use strict\";\n{}}})();\n",
        lean::tight(&lean::lean(&scripts))
    );
    packed("engine.txt", &std::fs::read(ENGINE)?)?;
    packed("scripts.txt", scripts.as_bytes())
}

/// Writes `bytes` where the program takes them from, compressed and as letters.
#[cfg(feature = "cli")]
fn packed(name: &str, bytes: &[u8]) -> std::io::Result<()> {
    // A few rounds more than one gain a thousandth; more than these gain nothing.
    let options = zopfli::Options {
        iteration_count: std::num::NonZeroU64::MIN.saturating_add(4),
        ..zopfli::Options::default()
    };
    let mut packed = Vec::new();
    zopfli::compress(options, zopfli::Format::Gzip, bytes, &mut packed)?;
    let folder = std::env::var("OUT_DIR").map_err(std::io::Error::other)?;
    std::fs::write(
        std::path::Path::new(&folder).join(name),
        packed_text(&packed),
    )
}

/// Letters of the text: printable ASCII without what means something to HTML or a script.
#[cfg(feature = "cli")]
const LETTERS: std::ops::RangeInclusive<u8> = b'!'..=b'~';

/// How many bytes there are, a space, and thirteen bits in each pair of 91 letters: an eighth
/// shorter than with base 64.
#[cfg(feature = "cli")]
fn packed_text(bytes: &[u8]) -> String {
    let letters: Vec<u8> = LETTERS.filter(|c| !b"<&\\".contains(c)).collect();
    let mut out = format!("{} ", bytes.len());
    let mut put = |bits: u32| {
        for index in [bits % 91, bits % 8192 / 91] {
            out.push(char::from(letters[index as usize]));
        }
    };
    let (mut held, mut count) = (0_u32, 0);
    for byte in bytes {
        held |= u32::from(*byte) << count;
        count += 8;
        if count >= 13 {
            put(held % 8192);
            held >>= 13;
            count -= 13;
        }
    }
    if count > 0 {
        put(held);
    }
    out
}
