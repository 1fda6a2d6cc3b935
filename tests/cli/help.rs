//! Help texts and misuse.

use crate::bench::{Bench, WORKS};

#[test]
fn help_of_every_command_is_held() {
    let bench = Bench::new(WORKS);
    for (name, arguments) in [
        ("help", &["--help"][..]),
        ("help_run", &["run", "--help"]),
        ("help_absorb", &["absorb", "--help"]),
        ("help_cut", &["cut", "--help"]),
        ("help_fit", &["fit", "--help"]),
        ("help_measure", &["measure", "--help"]),
        ("help_window", &["window", "--help"]),
        ("help_vary", &["vary", "--help"]),
        ("help_new", &["new", "--help"]),
        ("help_schema", &["schema", "--help"]),
        ("help_completions", &["completions", "--help"]),
        ("help_man", &["man", "--help"]),
    ] {
        let (out, err) = bench.expect(0, arguments);
        assert_eq!(err, "");
        insta::assert_snapshot!(name, out);
    }
}

#[test]
fn misuse_ends_with_2_and_points_to_the_help() {
    let bench = Bench::new(WORKS);
    for arguments in [
        &[][..],
        &["walk"],
        &["run"],
        &["run", "bed.toml", "more.toml"],
        &["run", "bed.toml", "--units", "cubits"],
        &["run", "bed.toml", "--outt", "x"],
        &["absorb"],
        &["new", "--force"],
        &["schema", "bed.toml"],
    ] {
        let (out, err) = bench.expect(2, arguments);
        assert_eq!(out, "", "{arguments:?}");
        assert!(err.contains("help"), "{arguments:?}: {err}");
    }
    assert_eq!(bench.names("."), ["bed.toml"]);
}

#[test]
fn the_version_is_that_of_the_package() {
    let bench = Bench::new(WORKS);
    let (out, _) = bench.expect(0, &["--version"]);
    assert_eq!(out, format!("ebbwright {}\n", env!("CARGO_PKG_VERSION")));
}
