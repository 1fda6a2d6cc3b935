//! A document on its way out: to the terminal, and to the folder with its pictures.

use crate::answer::{Document, Picture};
use crate::assessment::Status;
use crate::commands::Answer;
use crate::commands::common::{Common, internal, look};
use crate::commands::failure::Failure;
use crate::commands::folder::OutFile;
use crate::plots::Plot;

/// Names of the files of a command.
pub(super) struct Names {
    /// The page in Markdown; the same page in HTML is always `report.html`.
    pub page: &'static str,
    /// The results.
    pub results: &'static str,
    /// What the folder holds, in words.
    pub contents: &'static str,
}

impl Common {
    /// Prints the document, or its results where JSON is asked for, and writes page, results,
    /// series and `pictures` (each with its caption) to the folder. A verdict of failure is an
    /// exit status of its own.
    pub fn answer(
        &self,
        document: Document,
        names: &Names,
        pictures: impl FnOnce() -> Result<Vec<(Plot, &'static str)>, Failure>,
    ) -> Result<Answer, Failure> {
        let answer = match document.verdict {
            Some(Status::Fail) => Answer::CheckFailed,
            Some(Status::Pass | Status::Warn) | None => Answer::Good,
        };
        let json = document.json().map_err(internal)?;
        let text = document.terminal(look());
        self.deliver(document.keys.command, &json, text, names.contents, || {
            Ok(files(document, names, &json, pictures()?))
        })?;
        Ok(answer)
    }
}

/// Every file of the folder, in memory.
fn files(
    mut document: Document,
    names: &Names,
    json: &str,
    plots: Vec<(Plot, &'static str)>,
) -> Vec<OutFile> {
    document.add_pictures(plots.iter().map(|(plot, caption)| Picture {
        file: format!("{}.svg", plot.name),
        caption: (*caption).to_owned(),
        svg: plot.svg.clone(),
    }));
    let file = |name: &str, bytes: Vec<u8>| OutFile {
        name: name.to_owned(),
        bytes,
    };
    let mut files = vec![
        file(names.page, document.markdown().into_bytes()),
        file("report.html", document.html().into_bytes()),
        file(names.results, json.as_bytes().to_vec()),
    ];
    let series = document.series();
    files.extend(series.map(|series| file(series.file, series.csv().into_bytes())));
    for (plot, _) in plots {
        files.push(file(&format!("{}.svg", plot.name), plot.svg.into_bytes()));
        files.push(file(&format!("{}.png", plot.name), plot.png));
    }
    files
}

/// A plot that cannot be drawn is a fault of the program.
pub(super) fn undrawn(error: impl std::fmt::Display) -> Failure {
    Failure::Internal(format!("a plot cannot be drawn: {error}"))
}
