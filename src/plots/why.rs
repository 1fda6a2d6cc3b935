//! Shares of the causes as bars and, beside each, how far every reading is off it.

use crate::study::why::Diagnosis;

use super::axis::{Panel, axis_name, round_ticks};
use super::page::{MARGIN, WIDTH, count, title, title_height};
use super::palette::{BLACK, BLUE, GREY, MID_GREY, PALE_GREY, Stroke, VERMILLION, WATER_HIGH};
use super::sheet::{Align, BODY, SMALL, Sheet, shorten};
use super::{Plot, PlotError, paint};

/// Height of one cause's strip `[px]`.
const STRIP: f64 = 54.0;
/// Causes shown.
const MOST: usize = 10;
/// Room for a cause's words `[px]`.
const NAMES: f64 = 390.0;
/// Where the bars end and the readings begin `[px]`.
const MIDDLE: f64 = 640.0;
/// Readings farther off than this are drawn at the edge, in standard deviations.
const FARTHEST: f64 = 5.0;

/// Draws the picture `why`.
///
/// The same input gives the same bytes. Causes with less than 1 % are left out, beyond the first.
///
/// # Errors
/// [`PlotError`] when the drawing library fails.
pub fn draw_why(name: &str, diagnosis: &Diagnosis) -> Result<Plot, PlotError> {
    let sheet = draw(name, diagnosis);
    Ok(Plot {
        name: "why",
        svg: paint::svg(&sheet)?,
        png: paint::png(&sheet)?,
    })
}

fn draw(name: &str, diagnosis: &Diagnosis) -> Sheet {
    let shown: Vec<_> = diagnosis
        .suspects
        .iter()
        .enumerate()
        .filter(|(k, suspect)| *k == 0 || suspect.share >= 0.01)
        .map(|(_, suspect)| suspect)
        .take(MOST)
        .collect();
    let readings = &diagnosis.question.readings;
    let legend: Vec<String> = readings
        .iter()
        .enumerate()
        .map(|(k, reading)| {
            let bed = if diagnosis.promised.beds.len() > 1 && reading.figure.of_a_bed() {
                format!(" (bed {})", reading.bed + 1)
            } else {
                String::new()
            };
            format!("{} {}{bed}", k + 1, reading.figure.words())
        })
        .collect();
    let measured = if legend.is_empty() {
        "Nothing was measured.".to_owned()
    } else {
        format!("Measured: {}.", legend.join(", "))
    };
    let remarks = [
        format!(
            "{name}. Left: share of each cause. Right: how far each measurement is off what the \
             cause, at its best severity, expects, in standard deviations of both together; inside \
             the light field it agrees."
        ),
        measured,
    ];
    let top = title_height(&remarks) + 12.0;
    let bottom = top + STRIP * count(shown.len() + 1);
    let mut sheet = Sheet::new(WIDTH, bottom + 46.0 + MARGIN);
    let _ = title(&mut sheet, "What it may be", &remarks);
    let bars = Panel {
        left: MARGIN + NAMES,
        right: MIDDLE,
        top,
        bottom,
        across: (0.0, 100.0),
        up: (0.0, 1.0),
    };
    let off = Panel {
        left: MIDDLE + 40.0,
        right: WIDTH - MARGIN - 8.0,
        across: (-FARTHEST, FARTHEST),
        ..bars
    };
    if !readings.is_empty() {
        sheet.rect((off.x(-2.0), top), (off.x(2.0), bottom - STRIP), WATER_HIGH);
    }
    let ticks = round_ticks(bars.across, 5.0);
    bars.grid_across(&mut sheet, &ticks);
    let rows = shown
        .iter()
        .map(|suspect| (suspect.outcome.words(), suspect.share))
        .chain([("something this catalogue does not hold", diagnosis.other)]);
    for (k, (words, share)) in rows.enumerate() {
        let y = top + STRIP * (count(k) + 0.5);
        let colour = if k == shown.len() { MID_GREY } else { BLUE };
        let lines = super::sheet::wrap(words, BODY, NAMES - 14.0);
        let lines = &lines[..lines.len().min(3)];
        for (n, line) in lines.iter().enumerate() {
            let down = (count(n) - 0.5 * count(lines.len() - 1)) * (BODY + 3.0);
            let text = shorten(line, BODY, NAMES - 10.0);
            let at = (bars.left - 10.0, y + down + 0.36 * BODY);
            sheet.text(at, Align::Right, BODY, BLACK, text);
        }
        let end = bars.x(100.0 * share);
        sheet.rect((bars.left, y - 11.0), (end, y + 11.0), colour);
        let text = format!("{:.0} %", 100.0 * share);
        let (at, align, ink) = if share > 0.8 {
            (end - 6.0, Align::Right, super::palette::WHITE)
        } else {
            (end + 6.0, Align::Left, BLACK)
        };
        sheet.text((at, y + 0.36 * BODY), align, BODY, ink, text);
        let foot = y + 0.5 * STRIP;
        sheet.line(
            &[(MARGIN, foot), (WIDTH - MARGIN - 8.0, foot)],
            Stroke::solid(PALE_GREY, 1.0),
        );
    }
    bars.frame(&mut sheet);
    bars.figures_across(&mut sheet, &ticks);
    let middle = 0.5 * (bars.left + bars.right);
    axis_name(
        &mut sheet,
        (middle, bottom + 34.0),
        Align::Centre,
        "share, %",
    );
    if !readings.is_empty() {
        for (k, suspect) in shown.iter().enumerate() {
            let y = top + STRIP * (count(k) + 0.5);
            marks(
                &mut sheet,
                &off,
                y,
                suspect.evidence.iter().map(|e| (e.reading, e.off)),
            );
        }
        off.frame(&mut sheet);
        let ticks = round_ticks(off.across, 10.0);
        off.figures_across(&mut sheet, &ticks);
        let middle = 0.5 * (off.left + off.right);
        let words = "measured less expected, standard deviations";
        axis_name(&mut sheet, (middle, bottom + 34.0), Align::Centre, words);
    }
    sheet
}

/// The readings of one cause as numbered dots, on rows of their own where they crowd.
fn marks(sheet: &mut Sheet, panel: &Panel, y: f64, offs: impl Iterator<Item = (usize, f64)>) {
    sheet.line(
        &[(panel.x(0.0), y - 24.0), (panel.x(0.0), y + 24.0)],
        Stroke::solid(GREY, 1.0),
    );
    for (reading, off) in offs {
        let x = panel
            .x(off.clamp(-FARTHEST, FARTHEST))
            .clamp(panel.left + 6.0, panel.right - 16.0);
        let row = y + 15.0 * (count(reading % 3) - 1.0);
        let colour = if off.abs() > 2.0 { VERMILLION } else { BLACK };
        sheet.disc((x, row), 4.0, colour);
        let at = (x + 6.0, row + 0.36 * SMALL);
        sheet.text(at, Align::Left, SMALL, colour, format!("{}", reading + 1));
    }
}
