//! A bed taken out of the text of a scenario, or one more like another; comments and layout stay.

use toml_edit::{ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value, value};

use super::edit::EditError;

/// `text` without its bed number `bed`, from 0, and the comments in front of it.
///
/// # Errors
/// [`EditError`] where the text is not TOML or has no such bed. What is left need not be a scenario:
/// somebody has to read it.
pub fn without_bed(text: &str, bed: usize) -> Result<String, EditError> {
    let mut document = opened(text)?;
    match document.get_mut("bed") {
        Some(Item::ArrayOfTables(beds)) if bed < beds.len() => {
            beds.remove(bed);
        }
        Some(Item::Value(Value::Array(beds))) if bed < beds.len() => {
            beds.remove(bed);
        }
        _ => return Err(no_such(bed)),
    }
    Ok(document.to_string())
}

/// `text` with one more bed at the end, as bed number `bed`, from 0, but for its name.
///
/// # Errors
/// As [`without_bed`].
pub fn with_bed_like(text: &str, bed: usize) -> Result<String, EditError> {
    let mut document = opened(text)?;
    match document.get_mut("bed") {
        Some(Item::ArrayOfTables(beds)) => {
            let mut more = beds.get(bed).ok_or(no_such(bed))?.clone();
            more.insert("name", value(free_name(tables(beds), bed)));
            unplaced(&mut more);
            beds.push(more);
        }
        Some(Item::Value(Value::Array(beds))) => {
            let like = beds.get(bed).and_then(Value::as_inline_table);
            let mut more = like.ok_or(no_such(bed))?.clone();
            let all = beds.iter().filter_map(Value::as_inline_table);
            let named = |one: &InlineTable| name_of(one.get("name"));
            let name = free_name(all.map(named), bed);
            more.insert("name", name.into());
            beds.push(more);
        }
        _ => return Err(no_such(bed)),
    }
    Ok(document.to_string())
}

fn opened(text: &str) -> Result<DocumentMut, EditError> {
    text.parse().map_err(|_| EditError::NotToml)
}

fn no_such(bed: usize) -> EditError {
    EditError::NoBed {
        name: (bed + 1).to_string(),
        beds: Vec::new(),
    }
}

fn name_of(named: Option<&Value>) -> Option<String> {
    named?.as_str().map(str::to_owned)
}

fn tables(beds: &ArrayOfTables) -> impl Iterator<Item = Option<String>> {
    beds.iter()
        .map(|one| name_of(one.get("name").and_then(Item::as_value)))
}

/// "north 2", or the first number after it that no bed has.
fn free_name(names: impl Iterator<Item = Option<String>>, like: usize) -> String {
    let names: Vec<Option<String>> = names.collect();
    let called = names.get(like).cloned().flatten();
    let called = called.unwrap_or_else(|| format!("bed {}", like + 1));
    let stem = called.trim_end_matches(|c: char| c.is_ascii_digit() || c == ' ');
    let stem = if stem.is_empty() { "bed" } else { stem };
    let taken = |name: &String| names.iter().flatten().any(|one| one == name);
    let mut numbers = (2..).map(|n: usize| format!("{stem} {n}"));
    numbers.find(|name| !taken(name)).unwrap_or(called)
}

/// A table keeps its place in the file; a copy comes after what is there.
fn unplaced(table: &mut Table) {
    // Those with the same place stand as they come.
    table.set_position(isize::MAX);
    for (_, item) in table.iter_mut() {
        match item {
            Item::Table(inner) => unplaced(inner),
            Item::ArrayOfTables(all) => all.iter_mut().for_each(unplaced),
            _ => {}
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::model::Bed;
    use crate::scenario::parse;

    const FOUR: &str = include_str!("../../scenarios/four-beds-metric.toml");

    fn beds(text: &str) -> Vec<Bed> {
        parse(text, "beds.toml").unwrap().system.beds
    }

    #[test]
    fn a_bed_is_taken_out_and_the_others_stay_as_they_are() {
        let before = beds(FOUR);
        for k in 0..before.len() {
            let after = without_bed(FOUR, k).unwrap();
            let mut left = before.clone();
            left.remove(k);
            assert_eq!(format!("{:?}", beds(&after)), format!("{left:?}"), "{k}");
        }
        assert!(without_bed(FOUR, 4).is_err());
        assert!(without_bed("bed = ", 0).is_err());
    }

    #[test]
    fn one_more_bed_is_like_the_one_that_is_named() {
        let before = beds(FOUR);
        for k in 0..before.len() {
            let after = beds(&with_bed_like(FOUR, k).unwrap());
            let shown = |beds: &[Bed]| format!("{beds:?}");
            assert_eq!(shown(&after[..4]), shown(&before));
            let mut like = before[k].clone();
            assert!(before.iter().all(|bed| bed.name != after[4].name));
            like.name.clone_from(&after[4].name);
            assert_eq!(shown(&after[4..]), shown(&[like]));
        }
        assert!(with_bed_like(FOUR, 4).is_err());
    }

    // Tables below a bed stay with it; a bed may stand in one line as well.
    #[test]
    fn tables_and_lines_are_copied_whole() {
        let text = "[[bed]]\nname = \"a 7\"\n[bed.drain]\nlength = 1\n# second\n[[bed]]\nname = \"b\"\n[bed.drain]\nlength = 2\n[room]\nceiling = 3\n";
        let more = with_bed_like(text, 0).unwrap();
        let read: toml::Value = more.parse::<toml::Table>().unwrap().into();
        let found = read["bed"].as_array().unwrap();
        assert_eq!(found.len(), 3);
        assert_eq!(found[2]["name"].as_str(), Some("a 2"));
        let lengths: Vec<i64> = found
            .iter()
            .map(|one| one["drain"]["length"].as_integer().unwrap())
            .collect();
        assert_eq!(lengths, [1, 2, 1], "{more}");
        let less = without_bed(&more, 1).unwrap();
        assert!(
            !less.contains("second") && less.contains("[room]"),
            "{less}"
        );
        let lines = "bed = [{ name = \"1\" }, { drain = 2 }]\n";
        assert_eq!(without_bed(lines, 0).unwrap(), "bed = [ { drain = 2 }]\n");
        assert!(with_bed_like(lines, 0).unwrap().contains("\"bed 2\""));
    }
}
