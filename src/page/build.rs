//! Packs the engine for the page: compressed, and as letters that HTML can hold. Only the
//! program needs it.

#[cfg(not(feature = "cli"))]
fn main() {}

#[cfg(feature = "cli")]
fn main() -> std::io::Result<()> {
    use std::io::Write;

    const ENGINE: &str = "src/page/engine.wasm";
    println!("cargo::rerun-if-changed={ENGINE}");
    println!("cargo::rerun-if-changed=src/page/build.rs");
    let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    packed.write_all(&std::fs::read(ENGINE)?)?;
    let folder = std::env::var("OUT_DIR").map_err(std::io::Error::other)?;
    let path = std::path::Path::new(&folder).join("engine.txt");
    std::fs::write(path, base64(&packed.finish()?))
}

/// As RFC 4648 has it.
#[cfg(feature = "cli")]
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len() / 3 * 4 + 4);
    for three in bytes.chunks(3) {
        let byte = |i: usize| three.get(i).map_or(0, |b| u32::from(*b));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for i in 0..4 {
            let index = bits >> (18 - 6 * i) & 63;
            let letter = char::from(LETTERS[index as usize]);
            out.push(if i <= three.len() { letter } else { '=' });
        }
    }
    out
}
