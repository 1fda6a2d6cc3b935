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

/// `text` with a capital in front.
///
/// ```
/// use ebbwright::units::display::capital;
/// assert_eq!(capital("open the valve"), "Open the valve");
/// ```
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}

/// Text that HTML or SVG shall show as it is, in an attribute too.
///
/// ```
/// use ebbwright::units::display::markup;
/// assert_eq!(markup("a < \"b\""), "a &lt; &quot;b&quot;");
/// ```
pub fn markup(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in plain(text).chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(c),
        }
    }
    out
}

/// JSON of which only what `stays` stands as it is: all else becomes `\u....`, which inside a
/// string says the same.
///
/// ```
/// use ebbwright::units::display::escaped_json;
/// assert_eq!(escaped_json("[\"a<b\"]", |c| c != '<'), "[\"a\\u003cb\"]");
/// ```
pub fn escaped_json(json: &str, stays: impl Fn(char) -> bool) -> String {
    use std::fmt::Write as _;
    let mut out = String::with_capacity(json.len());
    for c in json.chars() {
        if stays(c) {
            out.push(c);
        } else {
            for unit in c.encode_utf16(&mut [0; 2]) {
                // Writing into a text cannot fail.
                let _ = write!(out, "\\u{unit:04x}");
            }
        }
    }
    out
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

/// `a, b and c`, with `and` for `conjunction`.
pub fn join(words: &[impl AsRef<str>], conjunction: &str) -> String {
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    match words.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} {conjunction} {last}", first.join(", ")),
    }
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
