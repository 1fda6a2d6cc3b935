//! How likely each check passes, and which inputs move its margin.

use crate::numerics::in_order::InOrder;
use crate::study::vary::leading::Lead;
use crate::study::vary::random::{CheckChance, Random};

use super::axis::{Panel, axis_name};
use super::page::{MARGIN, WIDTH, count, title, title_height};
use super::palette::{BLACK, BLUE, GREEN, GREY, PALE_GREY, Stroke, VERMILLION};
use super::sheet::{Align, BODY, HEADING, SMALL, Sheet, shorten};
use super::{Plot, PlotError, paint};

/// Height of one row `[px]`.
const ROW: f64 = 26.0;
/// Half height of a bar `[px]`.
const HALF: f64 = 8.0;
/// Room for names `[px]`.
const NAMES: f64 = 250.0;
/// Room for figures right of the bars `[px]`.
const FIGURES: f64 = 190.0;
/// Most checks on the page, most of those with their inputs, most inputs of each.
const MOST_CHECKS: usize = 40;
const MOST_SHOWN: usize = 6;
const MOST_INPUTS: usize = 5;

/// Draws the picture `chances`: bars of passing, warning and failing draws of
/// every check, those that pass least on top, and below them the inputs that the
/// margins of the most doubtful checks go with.
///
/// The same input gives the same bytes. Of more than 40 checks the 40 that pass
/// least are shown.
///
/// # Errors
/// [`PlotError`] when the drawing library fails.
pub fn draw_chances(found: &Random, subject: &str) -> Result<Plot, PlotError> {
    let sheet = draw(found, subject);
    Ok(Plot {
        name: "chances",
        svg: paint::svg(&sheet)?,
        png: paint::png(&sheet)?,
    })
}

fn draw(found: &Random, subject: &str) -> Sheet {
    let mut order: Vec<&CheckChance> = found.checks.iter().collect();
    order.order_by(|a, b| a.passes.share.total_cmp(&b.passes.share));
    order.truncate(MOST_CHECKS);
    let doubtful: Vec<(&CheckChance, Vec<Lead>)> = order
        .iter()
        .filter(|check| check.passes.hits < check.passes.of)
        .map(|&check| (check, leading(found, check)))
        .filter(|(_, leads)| !leads.is_empty())
        .take(MOST_SHOWN)
        .collect();
    let left_out = found.checks.len() - order.len();
    let mut remarks = vec![format!(
        "{subject}. {} draws, seed {}. Green passes, grey is a warning, orange-red fails; the whisker is \
         the 95 % interval of the share that passes.",
        found.draws.len(),
        found.seed
    )];
    if left_out > 0 {
        remarks.push(format!(
            "{left_out} more checks, that pass no less than the last shown, are in the table of vary.md."
        ));
    }
    let top = title_height(&remarks) + 10.0;
    let bottom = top + ROW * count(order.len());
    let rows: usize = doubtful.iter().map(|(_, leads)| leads.len() + 1).sum();
    let second = bottom + 96.0;
    let end = second + ROW * count(rows);
    let height = if rows == 0 { bottom + 50.0 } else { end + 50.0 };
    let mut sheet = Sheet::new(WIDTH, height + MARGIN);
    let _ = title(&mut sheet, "How likely each check passes", &remarks);
    let panel = Panel {
        left: MARGIN + NAMES,
        right: WIDTH - MARGIN - FIGURES,
        top,
        bottom,
        across: (0.0, 100.0),
        up: (0.0, 1.0),
    };
    let ticks = [0.0, 20.0, 40.0, 60.0, 80.0, 100.0];
    for (k, check) in order.iter().enumerate() {
        bar(&mut sheet, &panel, top + ROW * (count(k) + 0.5), check);
    }
    panel.frame(&mut sheet);
    panel.figures_across(&mut sheet, &ticks);
    let middle = 0.5 * (panel.left + panel.right);
    axis_name(
        &mut sheet,
        (middle, bottom + 34.0),
        Align::Centre,
        "share of draws, %",
    );
    if rows > 0 {
        let panel = Panel {
            top: second,
            bottom: end,
            across: (-1.0, 1.0),
            ..panel
        };
        influences(&mut sheet, &panel, &doubtful);
    }
    sheet
}

fn name_of(check: &CheckChance) -> String {
    format!("{}: {}", check.name.id.key(), check.name.subject)
}

/// The inputs shown with a check, the strongest first.
fn leading(found: &Random, check: &CheckChance) -> Vec<Lead> {
    let mut leads = found.leading(check);
    leads.truncate(MOST_INPUTS);
    leads
}

fn row_name(sheet: &mut Sheet, y: f64, text: &str) {
    sheet.text(
        (MARGIN + NAMES - 8.0, y + 0.36 * SMALL),
        Align::Right,
        SMALL,
        BLACK,
        shorten(text, SMALL, NAMES - 12.0),
    );
}

fn bar(sheet: &mut Sheet, panel: &Panel, y: f64, check: &CheckChance) {
    row_name(sheet, y, &name_of(check));
    let passes = panel.x(100.0 * check.passes.share);
    let fails = panel.x(100.0 * (1.0 - check.fails.share));
    for (from, to, color) in [
        (panel.left, passes, GREEN),
        (passes, fails, PALE_GREY),
        (fails, panel.right, VERMILLION),
    ] {
        if to > from {
            sheet.rect((from, y - HALF), (to, y + HALF), color);
        }
    }
    let ends = [check.passes.low, check.passes.high].map(|share| panel.x(100.0 * share));
    let pen = Stroke::solid(BLACK, 1.3);
    sheet.line(&[(ends[0], y), (ends[1], y)], pen);
    for x in ends {
        sheet.line(&[(x, y - 4.0), (x, y + 4.0)], pen);
    }
    let text = format!(
        "{:.1} % ({:.1} to {:.1} %)",
        100.0 * check.passes.share,
        100.0 * check.passes.low,
        100.0 * check.passes.high
    );
    sheet.text(
        (panel.right + 10.0, y + 0.36 * SMALL),
        Align::Left,
        SMALL,
        BLACK,
        text,
    );
}

fn influences(sheet: &mut Sheet, panel: &Panel, checks: &[(&CheckChance, Vec<Lead>)]) {
    let head = panel.top - 28.0;
    sheet.text(
        (MARGIN, head),
        Align::Left,
        HEADING,
        BLACK,
        "Which inputs matter",
    );
    sheet.text(
        (MARGIN, head + 18.0),
        Align::Left,
        BODY,
        GREY,
        "Rank correlation of the input with the check's margin: right, more of it helps; left, more of it \
         hurts. Grey: what chance alone gives.",
    );
    let mut y = panel.top + 0.5 * ROW;
    let zero = panel.x(0.0);
    for (check, leads) in checks {
        sheet.text(
            (MARGIN, y + 0.36 * BODY),
            Align::Left,
            BODY,
            BLACK,
            shorten(&name_of(check), BODY, NAMES),
        );
        let (first, last) = (y + 0.5 * ROW, y + ROW * (count(leads.len()) + 0.5));
        let noise = [-check.noise_of_all, check.noise_of_all].map(|size| panel.x(size));
        sheet.rect((noise[0], first), (noise[1], last), PALE_GREY);
        for lead in leads {
            let size = lead.size;
            y += ROW;
            row_name(sheet, y, &lead.name);
            let tip = panel.x(size);
            let color = if size > 0.0 { BLUE } else { VERMILLION };
            sheet.rect((zero.min(tip), y - HALF), (zero.max(tip), y + HALF), color);
            sheet.text(
                (panel.right + 10.0, y + 0.36 * SMALL),
                Align::Left,
                SMALL,
                BLACK,
                format!("{size:+.2}"),
            );
        }
        y += ROW;
    }
    sheet.line(
        &[(zero, panel.top), (zero, panel.bottom)],
        Stroke::solid(BLACK, 1.0),
    );
    panel.frame(sheet);
    panel.figures_across(sheet, &[-1.0, -0.5, 0.0, 0.5, 1.0]);
    axis_name(
        sheet,
        (zero, panel.bottom + 34.0),
        Align::Centre,
        "rank correlation, no unit",
    );
}
