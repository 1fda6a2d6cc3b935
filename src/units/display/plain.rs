//! Text of somebody else's, made harmless to print.

/// `text` on one line, without characters that would drive a terminal, break a line of
/// Markdown or turn the direction of what follows: each becomes a blank.
///
/// Those are the control characters, the line and paragraph separators and the
/// directional formatting characters of Unicode (UAX #9, section 2).
pub fn plain(text: &str) -> String {
    text.chars()
        .map(|c| if is_plain(c) { c } else { ' ' })
        .collect()
}

/// The same for text of several lines, which stay apart.
pub fn plain_lines(text: &str) -> String {
    text.chars()
        .map(|c| if c == '\n' || is_plain(c) { c } else { ' ' })
        .collect()
}

/// Whether a character may be printed as it stands.
pub fn is_plain(c: char) -> bool {
    !c.is_control() && !steers(c)
}

/// Separators and marks of direction that do not count as control characters.
fn steers(c: char) -> bool {
    matches!(
        c,
        '\u{061c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}'
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_drive_the_terminal() {
        assert_eq!(plain("north\u{1b}[2J\nbed"), "north [2J bed");
        assert_eq!(plain("a\u{202e}b\u{2028}c\u{9b}d"), "a b c d");
        assert_eq!(plain("Küche \u{5e9} 3/4\""), "Küche \u{5e9} 3/4\"");
    }
}
