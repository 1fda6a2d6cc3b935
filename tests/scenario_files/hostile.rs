//! No bytes make the reader panic, hang, or refuse without a reason.

use std::io::Write;
use std::path::Path;

use crate::splices::SPLICES;
use ebbwright::scenario::{self, FileError, ScenarioError, Severity};
use proptest::prelude::*;

/// Reads a text and holds the outcome to what every caller relies on.
fn judge(text: &str) -> Result<(), String> {
    match scenario::parse(text, "fuzzed.toml") {
        Ok(scenario) => {
            if scenario
                .warnings
                .iter()
                .any(|fault| fault.severity == Severity::Error)
            {
                return Err("an error among the warnings".to_owned());
            }
            scenario.render_warnings(false);
            Ok(())
        }
        Err(ScenarioError::Faults { faults, .. }) if faults.is_empty() => {
            Err("refused without a reason".to_owned())
        }
        Err(error) => {
            let shown = error.render(false);
            if shown.contains("Failed to read contents") {
                return Err(format!("a label outside the text:\n{shown}"));
            }
            for fault in error.faults() {
                if text.get(fault.span()).is_none() || fault.help.is_empty() {
                    return Err(format!("a fault without place or help: {fault:?}"));
                }
            }
            Ok(())
        }
    }
}

/// A generator of our own: the same mutations on every machine and version.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        // SplitMix64 (Steele, Lea, Flood 2014).
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % sides as u64) as usize
    }
}

fn mutate(text: &str, dice: &mut Dice) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..=dice.roll(4) {
        if bytes.is_empty() {
            break;
        }
        let at = dice.roll(bytes.len());
        let to = (at + 1 + dice.roll(40)).min(bytes.len());
        match dice.roll(6) {
            0 => {
                bytes.drain(at..to);
            }
            1 => bytes[at] = dice.roll(256) as u8,
            2 => {
                let piece = bytes[at..to].to_vec();
                let spot = dice.roll(bytes.len());
                bytes.splice(spot..spot, piece);
            }
            3 => bytes[at] = b"0123456789"[dice.roll(10)],
            4 => bytes.truncate(at),
            _ => {
                let splice = SPLICES[dice.roll(SPLICES.len())];
                bytes.splice(at..at, splice.bytes());
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// A line with its leading `#` taken away, where a commented-out key or table begins.
fn uncommented(text: &str) -> String {
    let plain = |line: &str| match line.strip_prefix('#') {
        Some(rest) if !rest.starts_with(' ') => rest.to_owned(),
        _ => line.to_owned(),
    };
    text.lines().map(plain).collect::<Vec<_>>().join("\n")
}

#[test]
fn thousands_of_damaged_starters_are_read_or_refused_with_a_reason() {
    let mut dice = Dice(2_024);
    let sources = [
        scenario::starter().to_owned(),
        scenario::starter_us().to_owned(),
        uncommented(scenario::starter()),
        std::fs::read_to_string("tests/bad/several.toml").unwrap(),
    ];
    let mut accepted = 0;
    for round in 0..6_000 {
        let text = mutate(&sources[round % sources.len()], &mut dice);
        if let Err(why) = judge(&text) {
            panic!("round {round}: {why}\n---\n{text}");
        }
        accepted += usize::from(scenario::parse(&text, "fuzzed.toml").is_ok());
    }
    // Both outcomes must occur often, or the test tests one thing only.
    assert!((300..5_700).contains(&accepted), "{accepted} accepted");
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: Some(Box::new(proptest::test_runner::FileFailurePersistence::WithSource("seeds"))),
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_text_is_read_or_refused_with_a_reason(text in "\\PC*") {
        prop_assert_eq!(judge(&text), Ok(()));
    }

    #[test]
    fn any_lines_of_toml_are_read_or_refused_with_a_reason(
        lines in proptest::collection::vec("(\\[\\[?[a-z.-]{0,12}\\]\\]?|[a-z-]{1,12} = (\"[0-9a-z ./]{0,9}\"|-?[0-9.]{1,6}|\\{[a-z =0-9\"]{0,20}\\}|\\[[0-9, \"m]{0,9}\\]))", 0..30)
    ) {
        prop_assert_eq!(judge(&lines.join("\n")), Ok(()));
    }
}

#[test]
fn a_file_of_nothing_but_faults_is_cut_short() {
    let text: String = (0..20_001).map(|i| format!("key-{i} = 1\n")).collect();
    let Err(error) = scenario::parse(&text, "many.toml") else {
        panic!("accepted")
    };
    assert!(error.faults().len() > 20_000);
    let shown = error.render(false);
    assert!(shown.len() < 100_000, "{} bytes", shown.len());
    assert!(
        shown.trim_end().ends_with(" more"),
        "{}",
        &shown[shown.len() - 100..]
    );
}

/// Quadratic work on a file of the largest size allowed would take minutes.
#[test]
fn the_largest_file_of_faults_costs_no_more_than_its_size() {
    let size = scenario::LARGEST_FILE as usize;
    for line in ["k{} = 1\n", "k{} =\n", "[k{}]\n", "[[bed]]\n", "k{} = [\n"] {
        let mut text = String::new();
        for i in 0.. {
            let line = line.replace("{}", &i.to_string());
            if text.len() + line.len() > size {
                break;
            }
            text.push_str(&line);
        }
        assert_eq!(judge_without_rendering(&text), Ok(()));
    }
}

fn judge_without_rendering(text: &str) -> Result<(), String> {
    match scenario::parse(text, "large.toml") {
        Ok(_) => Err("accepted".to_owned()),
        Err(error) if error.faults().is_empty() => Err("refused without a reason".to_owned()),
        Err(_) => Ok(()),
    }
}

#[test]
fn a_line_too_long_to_show_is_named_by_its_number() {
    let text = format!("title = \"x\"\nhours = [{}]\n", "1, ".repeat(5_000));
    let Err(error) = scenario::parse(&text, "long.toml") else {
        panic!("accepted")
    };
    let shown = error.render(false);
    assert!(shown.contains("line 2: hours is [1, 1, "), "{shown}");
    assert!(shown.len() < 10_000);
}

#[test]
fn escape_codes_in_a_file_never_reach_the_terminal() {
    let Err(error) = scenario::parse("title = \"\u{1b}[2J\u{9b}31m\"\n", "escape.toml") else {
        panic!("accepted")
    };
    let shown = error.render(false);
    assert!(!shown.contains(['\u{1b}', '\u{9b}']), "{shown:?}");
}

#[test]
fn colour_is_there_only_when_asked_for() {
    let Err(error) = scenario::parse("hours = -1\n", "colour.toml") else {
        panic!("accepted")
    };
    assert!(error.render(true).contains('\u{1b}'));
    assert!(!error.render(false).contains('\u{1b}'));
}

#[test]
fn deep_nesting_is_refused() {
    for text in [
        "[".repeat(100_000),
        format!("a = {}", "{ a = ".repeat(50_000)),
        format!("a = {}", "[".repeat(50_000)),
    ] {
        assert_eq!(judge(&text), Ok(()));
    }
}

fn file_error(path: &Path) -> FileError {
    match scenario::read(path) {
        Err(ScenarioError::File(error)) => {
            let shown = ScenarioError::File(file_error_again(path)).render(false);
            assert!(shown.contains(&path.display().to_string()), "{shown}");
            assert!(shown.contains("help: "), "{shown}");
            error
        }
        other => panic!("{}: {other:?}", path.display()),
    }
}

fn file_error_again(path: &Path) -> FileError {
    match scenario::read(path) {
        Err(ScenarioError::File(error)) => error,
        other => panic!("{}: {other:?}", path.display()),
    }
}

#[test]
fn what_is_no_text_file_is_refused_as_what_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);

    assert!(matches!(
        file_error(folder.path()),
        FileError::Directory { .. }
    ));
    assert!(matches!(
        file_error(&at("nothing.toml")),
        FileError::Missing { .. }
    ));
    assert!(matches!(
        file_error(&at("no/such/folder.toml")),
        FileError::Missing { .. }
    ));
    assert!(matches!(
        file_error(Path::new("Cargo.toml/below.toml")),
        FileError::Unreadable { .. }
    ));

    // 100 MB, without writing them: the size is what counts.
    let large = std::fs::File::create(at("large.toml")).unwrap();
    large.set_len(100_000_000).unwrap();
    assert!(matches!(
        file_error(&at("large.toml")),
        FileError::TooLarge { .. }
    ));

    let mut just_too_large = std::fs::File::create(at("just.toml")).unwrap();
    just_too_large
        .write_all(&vec![b'#'; scenario::LARGEST_FILE as usize + 1])
        .unwrap();
    assert!(matches!(
        file_error(&at("just.toml")),
        FileError::TooLarge { .. }
    ));

    std::fs::write(
        at("largest.toml"),
        vec![b'#'; scenario::LARGEST_FILE as usize],
    )
    .unwrap();
    assert!(matches!(
        file_error(&at("largest.toml")),
        FileError::Empty { .. }
    ));

    std::fs::write(at("png.toml"), b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR").unwrap();
    assert!(matches!(
        file_error(&at("png.toml")),
        FileError::NotText { byte: 1, .. }
    ));
    std::fs::write(at("zero.toml"), b"hours = 1\0").unwrap();
    assert!(matches!(
        file_error(&at("zero.toml")),
        FileError::NotText { byte: 10, .. }
    ));
    std::fs::write(at("utf16.toml"), b"\xff\xfeh\0o\0").unwrap();
    assert!(matches!(
        file_error(&at("utf16.toml")),
        FileError::Utf16 { .. }
    ));
    std::fs::write(at("empty.toml"), b" \n# only this\n").unwrap();
    assert!(matches!(
        file_error(&at("empty.toml")),
        FileError::Empty { .. }
    ));
}

#[cfg(unix)]
#[test]
fn endless_and_forbidden_files_are_refused() {
    use std::os::unix::fs::PermissionsExt;

    // Size 0 by its metadata, endless when read.
    assert!(matches!(
        file_error(Path::new("/dev/zero")),
        FileError::TooLarge { .. }
    ));

    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("secret.toml");
    std::fs::write(&path, scenario::starter()).unwrap();
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o000)).unwrap();
    // The superuser reads anything; then there is nothing to refuse.
    if std::fs::File::open(&path).is_err() {
        assert!(matches!(file_error(&path), FileError::Unreadable { .. }));
    } else {
        assert!(scenario::read(&path).is_ok());
    }
}

#[test]
fn a_byte_order_mark_and_windows_line_ends_are_no_obstacle() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("windows.toml");
    let text = format!("\u{feff}{}", scenario::starter().replace('\n', "\r\n"));
    std::fs::write(&path, text).unwrap();
    assert_eq!(scenario::read(&path).unwrap().system.beds.len(), 1);
}
