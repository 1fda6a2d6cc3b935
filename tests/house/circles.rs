//! No circles between the modules of one folder.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use crate::all_sources;

/// Folders whose modules may name each other in a circle, and why.
const BY_DESIGN: [(&str, &str); 1] = [(
    "assessment::checks",
    "`Why` has a variant for every check, and every check gives one",
)];

/// Path of names, outermost first.
type Names = Vec<String>;

/// One module: its text without comments and tests.
struct Module {
    uses: Vec<Names>,
    /// Names it passes on, and where it has them from.
    reexports: BTreeMap<String, Names>,
}

#[test]
fn no_modules_of_a_folder_name_each_other_in_a_circle() {
    let house = House::new();
    let mut circles = BTreeMap::new();
    for folder in house.folders() {
        let names = house.names_within(&folder);
        let circle: BTreeSet<&String> = names
            .keys()
            .filter(|one| reaches(&names, one).contains(*one))
            .collect();
        if !circle.is_empty() {
            circles.insert(folder.join("::"), format!("{circle:?}"));
        }
    }
    for (folder, why) in BY_DESIGN {
        assert!(circles.remove(folder).is_some(), "{folder} has none: {why}");
    }
    assert!(circles.is_empty(), "{circles:#?}");
}

// Taken from the tree as it was: each of these was a circle that no reader of one file saw.
#[test]
fn a_circle_is_seen_through_braces_and_through_what_a_parent_passes_on() {
    let text = "use super::plan::{Plan, over::{self, Span as S}};\npub use ends::End;";
    let found = uses_of(&code_of(text), &path("plots::section::tank"));
    let paths: Vec<String> = found.iter().map(|names| names.join("::")).collect();
    assert_eq!(
        paths,
        [
            "plots::section::plan::Plan",
            "plots::section::plan::over",
            "plots::section::plan::over::Span",
            "plots::section::tank::ends::End",
        ]
    );
    let names = BTreeMap::from([
        ("a".to_owned(), BTreeSet::from(["b".to_owned()])),
        ("b".to_owned(), BTreeSet::from(["c".to_owned()])),
        ("c".to_owned(), BTreeSet::from(["b".to_owned()])),
    ]);
    assert!(reaches(&names, "b").contains("b"));
    assert!(!reaches(&names, "a").contains("a"));
}

/// All modules of the library by their paths.
struct House(BTreeMap<Names, Module>);

impl House {
    fn new() -> Self {
        let mut modules = BTreeMap::new();
        for file in all_sources() {
            let Some(names) = module_of(&file) else {
                continue;
            };
            let code = code_of(&fs::read_to_string(&file).unwrap());
            let reexports = statements(&code, "pub")
                .flat_map(|text| expanded(text, &names))
                .filter_map(|from| Some((from.last()?.clone(), from)))
                .collect();
            let uses = uses_of(&code, &names);
            modules.insert(names, Module { uses, reexports });
        }
        Self(modules)
    }

    fn folders(&self) -> BTreeSet<Names> {
        let parents = self.0.keys().map(|names| names[..names.len() - 1].to_vec());
        parents.filter(|folder| !folder.is_empty()).collect()
    }

    /// The modules of `folder`, each with what it and all below it name of the others.
    fn names_within(&self, folder: &[String]) -> BTreeMap<String, BTreeSet<String>> {
        let child = |names: &[String]| {
            let below = names.strip_prefix(folder)?;
            below.first().cloned()
        };
        let mut all: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for (names, module) in &self.0 {
            let Some(own) = child(names) else { continue };
            let others = module
                .uses
                .iter()
                .filter_map(|to| child(&self.home_of(to)?))
                .filter(|other| *other != own);
            all.entry(own.clone()).or_default().extend(others);
        }
        all
    }

    /// The module in which what a path names is written, through all that only pass it on.
    fn home_of(&self, path: &[String]) -> Option<Names> {
        let mut path = path.to_vec();
        for _ in 0..8 {
            let depth = (1..=path.len())
                .rev()
                .find(|&n| self.0.contains_key(&path[..n]))?;
            let module = &self.0[&path[..depth]];
            match path.get(depth).and_then(|item| module.reexports.get(item)) {
                Some(from) => path = from.clone(),
                None => return Some(path[..depth].to_vec()),
            }
        }
        None
    }
}

/// What `from` names, directly or through others.
fn reaches(names: &BTreeMap<String, BTreeSet<String>>, from: &str) -> BTreeSet<String> {
    let mut seen = BTreeSet::new();
    let mut open = vec![from.to_owned()];
    while let Some(one) = open.pop() {
        for next in names.get(&one).into_iter().flatten() {
            if seen.insert(next.clone()) {
                open.push(next.clone());
            }
        }
    }
    seen
}

fn path(text: &str) -> Names {
    text.split("::").map(str::to_owned).collect()
}

/// The module that a file is; `None` for the roots of the crate and what is a crate of its own.
fn module_of(file: &Path) -> Option<Names> {
    let inside = file.strip_prefix("src").ok()?.with_extension("");
    let mut names: Names = inside
        .iter()
        .map(|part| part.to_string_lossy().into_owned())
        .collect();
    if names.last().is_some_and(|last| last == "mod") {
        names.pop();
    }
    let helps_tests = |name: &String| name == "tests" || name == "sample";
    let apart = names.len() < 2 && !inside.ends_with("mod")
        || names.starts_with(&path("page::engine::src"))
        || names.iter().any(helps_tests);
    (!apart).then_some(names)
}

/// Text without comments and without what stands behind the tests' mark.
fn code_of(text: &str) -> String {
    let code = text.split("#[cfg(test)]\nmod tests").next().unwrap();
    code.lines()
        .map(|line| line.split("//").next().unwrap())
        .collect::<Vec<_>>()
        .join("\n")
}

/// The `use` statements that begin with a word, without their ends.
fn statements<'t>(code: &'t str, word: &'t str) -> impl Iterator<Item = &'t str> {
    code.split(';').filter_map(move |part| {
        let line = part.rfind("use ")?;
        let before = part[..line].lines().last().unwrap_or("").trim();
        before.starts_with(word).then(|| &part[line + 4..])
    })
}

/// Everything that a module names of the crate: in its `use` statements and by paths in its code.
fn uses_of(code: &str, own: &Names) -> Vec<Names> {
    let mut all: Vec<Names> = statements(code, "")
        .flat_map(|text| expanded(text, own))
        .collect();
    for root in ["crate::", "super::"] {
        for (at, _) in code.match_indices(root) {
            let stands_alone = !code[..at].ends_with(|c: char| c.is_alphanumeric() || c == ':');
            let text = &code[at..];
            let end = text.find(|c: char| !(c.is_alphanumeric() || c == '_' || c == ':'));
            let text = text[..end.unwrap_or(text.len())].trim_end_matches(':');
            if stands_alone && !code[..at].trim_end().ends_with("use") {
                all.push(rooted(&path(text), own));
            }
        }
    }
    all
}

/// The paths of one `use`, its braces opened.
fn expanded(text: &str, own: &Names) -> Vec<Names> {
    let mut all = Vec::new();
    open_braces(&[], text.trim(), &mut all);
    all.iter().map(|names| rooted(names, own)).collect()
}

fn open_braces(before: &[String], text: &str, all: &mut Vec<Names>) {
    let mut depth = 0;
    let comma = |c: char| {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        c == ',' && depth == 0
    };
    for part in text
        .split(comma)
        .map(str::trim)
        .filter(|part| !part.is_empty())
    {
        let named = part.split(" as ").next().unwrap();
        match part.split_once("::{") {
            Some((head, rest)) if part.ends_with('}') => {
                let inner = [before, &path(head)].concat();
                open_braces(&inner, &rest[..rest.len() - 1], all);
            }
            _ if named == "self" => all.push(before.to_vec()),
            _ => all.push([before, &path(named)].concat()),
        }
    }
}

/// A path from the crate's root.
fn rooted(names: &[String], own: &Names) -> Names {
    let ups = names.iter().take_while(|name| *name == "super").count();
    match names.first().map(String::as_str) {
        Some("crate") => names[1..].to_vec(),
        Some("super") => [&own[..own.len().saturating_sub(ups)], &names[ups..]].concat(),
        Some("self") => [own, &names[1..]].concat(),
        _ => [own, names].concat(),
    }
}
