//! Water level in every bed, with the levels that its siphon works by.

use crate::model::{Bed, System};
use crate::simulation::{BedOutcome, BedSeries, Regime, Run};
use crate::siphon::SiphonLaw;
use crate::units::UnitSystem;

use super::axis::{axis_name, padded, round_ticks};
use super::hatch::{MODES, mode_name, mode_swatch};
use super::incidents;
use super::page::{
    FIGURES, MARGIN, Series, TIME_AXIS, TimePair, WIDTH, count, title, title_height,
};
use super::palette::{
    BLACK, BLUE, DASH_DOT, DASH_DOT_DOT, DOTS, FRAME, GREEN, LONG, ORANGE, PURPLE, SERIES, SHORT,
    Stroke, VERMILLION,
};
use super::reference::{Reference, draw_labels, draw_lines, labels_width};
use super::section::breaks_label;
use super::series::stretches;
use super::sheet::{Align, BODY, HEADING, SMALL, Sheet, shorten, text_width};
use super::tank;
use super::window::{Windows, windows};

/// Beds up to which one column reads well.
const ONE_COLUMN: usize = 4;
/// A guard that stands no farther below its bed looks the same `[m]`.
const VISIBLE: f64 = 0.003;
/// Strip that says what the siphon does, under each panel `[px]`.
const STRIP: f64 = 9.0;
/// Panel edge to strip `[px]`.
const STRIP_GAP: f64 = 3.0;

const MEDIA: Stroke = Stroke::new(ORANGE, 1.6, LONG);
const DRY_LIMIT: Stroke = Stroke::new(VERMILLION, 1.6, DASH_DOT);
const START: Stroke = Stroke::new(PURPLE, 1.6, DOTS);
const LIP: Stroke = Stroke::new(BLACK, 1.2, SHORT);
const BREAK: Stroke = Stroke::new(GREEN, 1.6, DASH_DOT_DOT);
/// Water beside the siphon.
const GUARD: Stroke = Stroke::new(BLUE, 1.4, SHORT);
const SOLID_LINE: Stroke = Stroke::solid(BLACK, 1.2);

/// Draws the page.
pub(super) fn draw(system: &System, run: &Run, units: UnitSystem) -> Sheet {
    let windows = windows(run, units);
    let columns = if system.beds.len() > ONE_COLUMN { 2 } else { 1 };
    let rows = system.beds.len().div_ceil(columns);
    let panel_height = match (columns, rows) {
        (1, 1) => 380.0,
        (1, 2) => 230.0,
        _ => 150.0,
    };
    let heading = if columns == 1 { 36.0 } else { 52.0 };
    let cell_height = heading + panel_height + STRIP_GAP + STRIP + TIME_AXIS + 16.0;
    let caption = if columns == 1 {
        windows.caption()
    } else {
        windows.close_caption()
    };
    let mut remarks = vec![format!("{}. {caption}", system.title)];
    remarks.extend(incidents::remark(system, run, units));
    if run.recording.beds.iter().any(stands_apart) {
        remarks.push(
            "Dashed blue: water beside the siphon, by which it starts and breaks; while it \
             draws, the gravel holds the bed's water (solid blue) higher."
                .to_owned(),
        );
    }
    let top = title_height(&remarks);
    let tank_top = top + count(rows) * cell_height;
    let tank_height = tank::height(system, run);
    let mut sheet = Sheet::new(WIDTH, tank_top + tank_height + 2.0 * BODY + MARGIN);
    let name = match (system.beds.len(), tank_height > 0.0) {
        (1, false) => "Water level in the bed",
        (1, true) => "Water level in the bed and in the fish tank",
        (_, false) => "Water level in each bed",
        (_, true) => "Water level in each bed and in the fish tank",
    };
    let _ = title(&mut sheet, name, &remarks);

    let parts = system.beds.iter().zip(&run.beds).zip(&run.recording.beds);
    let subjects: Vec<Subject> = parts
        .map(|((bed, outcome), series)| Subject {
            bed,
            outcome,
            series,
            time: &run.recording.time,
            lines: lines(system, bed, outcome, units),
        })
        .collect();
    // One width for all, so that times stand under each other.
    let labels = subjects
        .iter()
        .map(|subject| labels_width(&subject.lines))
        .fold(tank::labels(system, run, units), f64::max);
    let cell_width = (WIDTH - 2.0 * MARGIN) / count(columns);
    for (index, subject) in subjects.iter().enumerate() {
        let left = MARGIN + count(index % columns) * cell_width;
        let y = top + count(index / columns) * cell_height;
        let cell = Cell {
            left,
            right: left + cell_width - if columns > 1 { 12.0 } else { 0.0 },
            heading: y + HEADING,
            top: y + heading,
            bottom: y + heading + panel_height,
            labels,
            wide: columns == 1,
        };
        cell.draw(&mut sheet, (run, &windows), units, subject);
    }
    let place = (tank_top, labels);
    tank::draw(&mut sheet, system, run, &windows, units, place);
    legend(&mut sheet);
    sheet
}

/// What a cell shows.
struct Subject<'a> {
    bed: &'a Bed,
    outcome: &'a BedOutcome,
    series: &'a BedSeries,
    time: &'a [f64],
    lines: Vec<Reference>,
}

/// Levels to read the water against, from the top down.
fn lines(system: &System, bed: &Bed, outcome: &BedOutcome, units: UnitSystem) -> Vec<Reference> {
    let law = SiphonLaw::new(bed, &system.water, &system.coefficients.nominal());
    let dry_limit = bed.dry_level(system.thresholds.dry_layer, 0.0);
    let mut levels = vec![
        (bed.media_surface(), MEDIA, "media surface"),
        (dry_limit, DRY_LIMIT, "dry-layer limit"),
        (law.start_level(0.0), START, "starts"),
        (bed.lip_level(), LIP, "lip"),
        (outcome.break_level, BREAK, breaks_label(bed)),
        (bed.floor, SOLID_LINE, "bed floor"),
    ];
    if outcome.highest_water() > bed.media_surface() {
        levels.insert(0, (bed.rim_level(), SOLID_LINE, "rim"));
    }
    let (factor, _) = units.elevation_axis();
    levels
        .into_iter()
        .filter(|(level, ..)| level.is_finite())
        .map(|(level, stroke, name)| {
            let text = format!("{name} {}", units.elevation(level));
            Reference::new(level * factor, stroke, text)
        })
        .collect()
}

/// Whether the siphon sees a level of its own.
fn stands_apart(series: &BedSeries) -> bool {
    let mut pairs = series.level.iter().zip(&series.guard_level);
    pairs.any(|(bed, guard)| bed - guard > VISIBLE)
}

/// Where one bed's panels go `[px]`.
struct Cell {
    left: f64,
    right: f64,
    heading: f64,
    top: f64,
    bottom: f64,
    /// Width of the labels on the right.
    labels: f64,
    /// Room for the whole run beside the close view, and for a long heading.
    wide: bool,
}

impl Cell {
    fn draw(
        &self,
        sheet: &mut Sheet,
        (run, windows): (&Run, &Windows),
        units: UnitSystem,
        subject: &Subject,
    ) {
        let (factor, unit) = units.elevation_axis();
        let shown = subject.lines.iter().map(|line| line.value);
        let shown = shown.chain(subject.series.level.iter().map(|z| z * factor));
        let up = padded(shown, (0.02, 0.06));
        let mut pair = TimePair::new(
            windows,
            (self.left + FIGURES, self.right - self.labels),
            (self.top, self.bottom),
            up,
        );
        if !self.wide {
            pair = pair.close_only();
        }

        self.heading(sheet, units, subject);
        let name = format!("height above the room's floor, {unit}");
        axis_name(sheet, (self.left, self.top - 6.0), Align::Left, name);
        pair.backdrop(
            sheet,
            &round_ticks(
                up,
                (self.bottom - self.top) / if self.wide { 26.0 } else { 21.0 },
            ),
        );
        if stands_apart(subject.series) {
            let guard = Series::new(GUARD, &subject.series.guard_level, factor);
            pair.close_series(sheet, subject.time, &guard);
        }
        let water = [Series::new(SERIES, &subject.series.level, factor)];
        pair.series(sheet, subject.time, windows, &water, |sheet| {
            draw_lines(sheet, &pair, &subject.lines);
            incidents::lines(sheet, run, &pair);
        });
        incidents::draw(sheet, run, &pair);
        pair.frames(sheet);
        self.strip(sheet, &pair, subject);
        pair.time_axis(sheet, STRIP_GAP + STRIP);
        draw_labels(sheet, &pair, &subject.lines);
    }

    fn heading(&self, sheet: &mut Sheet, units: UnitSystem, subject: &Subject) {
        let peak = subject.outcome.peak_level;
        let below = subject.bed.gravel_over(peak);
        let side = if below >= 0.0 { "below" } else { "above" };
        let does = format!(
            "{}: {}",
            subject.bed.name,
            regime_words(subject.outcome, units)
        );
        let reaches = format!(
            "highest water {}, {} {side} the media surface",
            units.elevation(peak),
            units.length(below.abs())
        );
        let room = self.right - self.left;
        let mut line = |dy: f64, size: f64, text: &str| {
            let at = (self.left, self.heading + dy);
            sheet.text(at, Align::Left, size, BLACK, shorten(text, size, room));
        };
        if self.wide {
            line(0.0, HEADING, &format!("{does}; {reaches}"));
        } else {
            line(0.0, HEADING, &does);
            line(HEADING + 3.0, SMALL, &reaches);
        }
    }

    /// What the siphon does, under the close panel.
    fn strip(&self, sheet: &mut Sheet, pair: &TimePair, subject: &Subject) {
        let panel = &pair.close;
        let (top, bottom) = (self.bottom + STRIP_GAP, self.bottom + STRIP_GAP + STRIP);
        for (from, to, mode) in stretches(subject.time, &subject.series.mode, panel.across) {
            mode_swatch(sheet, (panel.x(from), top), (panel.x(to), bottom), mode);
        }
        let corners = [
            (panel.left, top),
            (panel.right, top),
            (panel.right, bottom),
            (panel.left, bottom),
        ];
        sheet.outline(&corners, FRAME);
    }
}

/// What a bed does, in words.
fn regime_words(outcome: &BedOutcome, units: UnitSystem) -> String {
    match outcome.regime {
        Regime::Cycles => {
            let periods: Vec<f64> = outcome.cycles.iter().map(|c| c.period()).collect();
            if periods.is_empty() {
                "cycles".to_owned()
            } else {
                let mean = periods.iter().sum::<f64>() / count(periods.len());
                format!("cycles every {}", units.time(mean))
            }
        }
        Regime::Dribbles => "dribbles, stands just over the lip and never starts".to_owned(),
        Regime::Stalls => "stalls, runs full but never gets down to the break".to_owned(),
        Regime::RunsOn => "runs on, never breaks".to_owned(),
        Regime::Overflows => "overflows its wall".to_owned(),
        Regime::NeverFills => "never fills to the lip".to_owned(),
        Regime::Unfinished => "has not completed a cycle in this run".to_owned(),
    }
}

/// What the strips mean, at the foot of the page.
fn legend(sheet: &mut Sheet) {
    let y = sheet.height - MARGIN + 4.0;
    let mut x = MARGIN;
    let lead = "Strip under each panel, what the siphon does:";
    sheet.text((x, y), Align::Left, SMALL, BLACK, lead);
    x += text_width(lead, SMALL) + 14.0;
    for mode in MODES {
        let (from, to) = ((x, y - STRIP), (x + 26.0, y));
        mode_swatch(sheet, from, to, mode);
        sheet.outline(&[from, (to.0, from.1), to, (from.0, to.1)], FRAME);
        let name = mode_name(mode);
        sheet.text((x + 32.0, y), Align::Left, SMALL, BLACK, name);
        x += 32.0 + text_width(name, SMALL) + 18.0;
    }
}
