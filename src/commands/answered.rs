//! A document on its way out: to the terminal, and to the folder with its pictures.

use crate::answer::{Document, Picture};
use crate::assessment::Status;
use crate::commands::Answer;
use crate::commands::common::{Common, internal};
use crate::commands::failure::Failure;
use crate::commands::folder::{Content, OutFile};
use crate::page::{self, Page};
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

/// A picture for the page, and as PNG beside it.
pub(super) struct Drawn {
    /// Name of its files, without extension.
    pub name: String,
    /// What it shows, in a line.
    pub caption: String,
    /// The picture as SVG.
    pub svg: String,
    /// The picture as PNG.
    pub png: Vec<u8>,
}

impl From<(Plot, &str)> for Drawn {
    fn from((plot, caption): (Plot, &str)) -> Self {
        Self {
            name: plot.name.to_owned(),
            caption: caption.to_owned(),
            svg: plot.svg,
            png: plot.png,
        }
    }
}

impl Common {
    /// `scenario` is the text it answers to. Prints the document, or its results where JSON is asked for, and writes page, results,
    /// series and `pictures` (each with its caption) to the folder. A verdict of failure is an
    /// exit status of its own.
    pub fn answer<P: Into<Drawn>>(
        &self,
        document: Document,
        scenario: &str,
        names: &Names,
        pictures: impl FnOnce() -> Result<Vec<P>, Failure>,
    ) -> Result<Answer, Failure> {
        debug_assert_eq!(document.faults(), [""; 0]);
        let answer = match document.verdict {
            Some(Status::Fail) => Answer::CheckFailed,
            Some(Status::Pass | Status::Warn) | None => Answer::Good,
        };
        let json = document.json().map_err(internal)?;
        let text = document.terminal(self.look());
        self.deliver(document.keys.command, &json, text, names.contents, || {
            let drawn = pictures()?.into_iter().map(Into::into).collect();
            let page = Page {
                text: scenario,
                name: &self.file_name(),
                document: None,
                pictures: &[],
                units: self.units(),
                fresh: false,
            };
            Ok(files(document, page, names, &json, drawn))
        })?;
        Ok(answer)
    }
}

/// Every file of the folder, in memory.
fn files(
    mut document: Document,
    page: Page,
    names: &Names,
    json: &str,
    drawn: Vec<Drawn>,
) -> Vec<OutFile> {
    let pictures = drawn.iter().map(|one| Picture {
        file: format!("{}.svg", one.name),
        caption: one.caption.clone(),
        svg: one.svg.clone(),
    });
    let pictures: Vec<Picture> = pictures.collect();
    // What a run shows is drawn by the page itself, and moves there.
    let drawn_there = document.keys.command == "run";
    let html = page::page(&Page {
        document: Some(&document),
        pictures: if drawn_there { &[] } else { &pictures },
        ..page
    });
    document.add_pictures(pictures);
    let file = |name: &str, bytes: Vec<u8>| OutFile {
        name: name.to_owned(),
        content: Content::Bytes(bytes),
    };
    let mut files = vec![
        file(names.page, document.markdown().into_bytes()),
        file("report.html", html.into_bytes()),
        file(names.results, json.as_bytes().to_vec()),
    ];
    let series = document.take_series().into_iter();
    files.extend(series.map(|series| OutFile {
        name: series.file.to_owned(),
        content: Content::Series(series),
    }));
    for one in drawn {
        files.push(file(&format!("{}.svg", one.name), one.svg.into_bytes()));
        files.push(file(&format!("{}.png", one.name), one.png));
    }
    files
}

/// A plot that cannot be drawn is a fault of the program.
pub(super) fn undrawn(error: impl std::fmt::Display) -> Failure {
    Failure::Internal(format!("a plot cannot be drawn: {error}"))
}
