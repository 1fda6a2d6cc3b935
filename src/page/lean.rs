//! Scripts and style without what only eyes need: every byte of them travels. Built into the program that packs them,
//! too.

/// Script or style without indents and without lines that only comment: every byte travels.
pub(crate) fn lean(source: &str) -> String {
    let lines = source.lines().map(str::trim);
    let kept = lines.filter(|line| !line.is_empty() && !line.starts_with("//"));
    kept.flat_map(|line| [line, "\n"]).collect()
}

/// Script without the spaces beside what separates; a line in which texts stand in one another, or
/// that has a pattern, is left alone.
pub(crate) fn tight(source: &str) -> String {
    let lines = source.lines();
    let lines = lines.map(|line| tight_line(line).unwrap_or_else(|| line.to_owned()));
    lines.flat_map(|line| [line, "\n".to_owned()]).collect()
}

fn tight_line(line: &str) -> Option<String> {
    if line.contains("\\\"") || line.contains("\\`") {
        return None;
    }
    // Texts stand at the odd places.
    let parts = line.split('`').enumerate().map(|(n, part)| {
        let opened = part.matches('{').count();
        match n % 2 {
            0 => between_texts(part),
            _ => (opened == part.matches('}').count()).then(|| part.to_owned()),
        }
    });
    Some(parts.collect::<Option<Vec<String>>>()?.join("`"))
}

fn between_texts(code: &str) -> Option<String> {
    let parts = code.split('"').enumerate().map(|(n, part)| match n % 2 {
        0 => {
            let odd = part.contains(['\'', '\\']) || part.replace(" / ", "").contains('/');
            (!odd).then(|| without_spaces(part))
        }
        _ => Some(part.to_owned()),
    });
    Some(parts.collect::<Option<Vec<String>>>()?.join("\""))
}

fn without_spaces(code: &str) -> String {
    let mut code = code.to_owned();
    for mark in "=,;{}()?:<>&|".chars() {
        let bare = mark.to_string();
        code = code.replace(&format!(" {mark}"), &bare);
        code = code.replace(&format!("{mark} "), &bare);
    }
    // A sum of what has a sign of its own would become another.
    if !code.contains("+ +") {
        code = code.replace(" + ", "+");
    }
    code.replace(" * ", "*").replace(";}", "}")
}

/// Style without what only eyes need: comments, and spaces beside what separates.
pub(crate) fn lean_style(source: &str) -> String {
    let mut style = lean(source);
    while let Some((before, rest)) = style.split_once("/*")
        && let Some((_, after)) = rest.split_once("*/")
    {
        style = format!("{before}{after}");
    }
    for mark in ["; ", "{ ", ": ", ", "] {
        style = style.replace(mark, mark.trim_end());
    }
    style
        .replace(" }", "}")
        .replace(";}", "}")
        .replace(" {", "{")
        .replace(" > ", ">")
}
