//! Packs the engine for the page: compressed, and as letters that HTML can hold. Only the
//! program needs it.

#[cfg(not(feature = "cli"))]
fn main() {}

#[cfg(feature = "cli")]
fn main() -> std::io::Result<()> {
    const ENGINE: &str = "src/page/engine.wasm";
    println!("cargo::rerun-if-changed={ENGINE}");
    println!("cargo::rerun-if-changed=src/page/build.rs");
    // A few rounds more than one gain a thousandth; more than these gain nothing.
    let options = zopfli::Options {
        iteration_count: std::num::NonZeroU64::MIN.saturating_add(4),
        ..zopfli::Options::default()
    };
    let mut packed = Vec::new();
    zopfli::compress(
        options,
        zopfli::Format::Gzip,
        &*std::fs::read(ENGINE)?,
        &mut packed,
    )?;
    let folder = std::env::var("OUT_DIR").map_err(std::io::Error::other)?;
    let path = std::path::Path::new(&folder).join("engine.txt");
    std::fs::write(path, packed_text(&packed))
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
