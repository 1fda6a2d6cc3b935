//! Water level in every bed, with the levels that its siphon works by.

use crate::model::{Bed, System};
use crate::simulation::{BedOutcome, BedSeries, Regime, Run};
use crate::units::UnitSystem;

use super::axis::{axis_name, padded, round_ticks};
use super::hatch::{MODES, mode_name, mode_swatch};
use super::labels::{Label, Side, column_height, column_width, draw_column};
use super::page::{FIGURES, MARGIN, TIME_AXIS, TimePair, WIDTH, title, title_height};
use super::palette::{
    BLACK, DASH_DOT, DASH_DOT_DOT, DOTS, FRAME, GREEN, LONG, ORANGE, PURPLE, SERIES, SHORT, Stroke,
    VERMILLION,
};
use super::series::{path, stretches};
use super::sheet::{Align, BODY, HEADING, SMALL, Sheet, shorten, text_width};
use super::siphon_marks::{SiphonMarks, siphon_marks};
use super::window::{Windows, windows};

/// Beds up to which one column reads well.
const ONE_COLUMN: usize = 4;
/// Strip that says what the siphon does, under each panel [px].
const STRIP: f64 = 9.0;
/// Panel edge to strip, and strip to time axis [px].
const STRIP_GAP: f64 = 3.0;

const MEDIA: Stroke = Stroke::new(ORANGE, 1.6, LONG);
const DRY_LIMIT: Stroke = Stroke::new(VERMILLION, 1.6, DASH_DOT);
const START: Stroke = Stroke::new(PURPLE, 1.6, DOTS);
const LIP: Stroke = Stroke::new(BLACK, 1.2, SHORT);
const BREAK: Stroke = Stroke::new(GREEN, 1.6, DASH_DOT_DOT);
const FLOOR: Stroke = Stroke::solid(BLACK, 1.2);

/// Draws the page.
pub(super) fn draw(system: &System, run: &Run, units: UnitSystem) -> Sheet {
    let windows = windows(run, units);
    let remarks = [format!("{}. Shown: {}.", system.title, windows.caption)];
    let columns = if system.beds.len() > ONE_COLUMN { 2 } else { 1 };
    let rows = system.beds.len().div_ceil(columns);
    let panel_height = match (columns, rows) {
        (1, 1) => 380.0,
        (1, 2) => 230.0,
        _ => 150.0,
    };
    let heading = 2.0 * HEADING + 10.0;
    let cell_height = heading + panel_height + STRIP_GAP + STRIP + TIME_AXIS + 16.0;
    let top = title_height(&remarks);
    let mut sheet = Sheet::new(
        WIDTH,
        top + count(rows) * cell_height + 2.0 * BODY + MARGIN,
    );
    let _ = title(
        &mut sheet,
        if system.beds.len() == 1 {
            "Water level in the bed"
        } else {
            "Water level in each bed"
        },
        &remarks,
    );

    let cell_width = (WIDTH - 2.0 * MARGIN) / count(columns);
    let parts = system.beds.iter().zip(&run.beds).zip(&run.recording.beds);
    for (index, ((bed, outcome), series)) in parts.enumerate() {
        let left = MARGIN + count(index % columns) * cell_width;
        let y = top + count(index / columns) * cell_height;
        let cell = Cell {
            left,
            right: left + cell_width - if columns > 1 { 12.0 } else { 0.0 },
            heading: y + HEADING,
            top: y + heading,
            bottom: y + heading + panel_height,
            with_whole: columns == 1,
        };
        cell.draw(&mut sheet, &windows, units, &Subject {
            bed,
            outcome,
            series,
            time: &run.recording.time,
            marks: siphon_marks(system, bed, outcome),
            wide: columns == 1,
        });
    }
    legend(&mut sheet);
    sheet
}

/// Where one bed's panels go [px].
struct Cell {
    left: f64,
    right: f64,
    heading: f64,
    top: f64,
    bottom: f64,
    with_whole: bool,
}

/// What a cell shows.
struct Subject<'a> {
    bed: &'a Bed,
    outcome: &'a BedOutcome,
    series: &'a BedSeries,
    time: &'a [f64],
    marks: SiphonMarks,
    wide: bool,
}

impl Subject<'_> {
    /// Levels to draw, from the top down, with their names.
    fn lines(&self) -> Vec<(f64, Stroke, &'static str)> {
        let marks = &self.marks;
        let mut lines = vec![
            (self.bed.media_surface(), MEDIA, "media surface"),
            (marks.dry_limit, DRY_LIMIT, "dry-layer limit"),
            (marks.start, START, "starts"),
            (self.bed.siphon.standpipe.lip, LIP, "lip"),
            (marks.break_level, BREAK, "breaks"),
            (self.bed.floor, FLOOR, "bed floor"),
        ];
        if self.highest() > self.bed.media_surface() {
            lines.insert(0, (self.bed.rim, FLOOR, "rim"));
        }
        lines.retain(|(level, ..)| level.is_finite());
        lines
    }

    fn highest(&self) -> f64 {
        self.outcome.peak_level.max(self.outcome.first_peak_level)
    }

    fn heading(&self, units: UnitSystem) -> [String; 2] {
        let peak = self.outcome.peak_level;
        let below = self.bed.media_surface() - peak;
        let where_to = if below >= 0.0 {
            format!("{} below the media surface", units.length(below))
        } else {
            format!("{} above the media surface", units.length(-below))
        };
        [
            format!("{}: {}", self.bed.name, regime_words(self.outcome, units)),
            format!("highest water {}, {where_to}", units.elevation(peak)),
        ]
    }
}

impl Cell {
    fn draw(&self, sheet: &mut Sheet, windows: &Windows, units: UnitSystem, subject: &Subject) {
        let (factor, unit) = units.elevation_axis();
        let lines = subject.lines();
        let shown = lines
            .iter()
            .map(|line| line.0)
            .chain(subject.series.level.iter().copied());
        let (low, high) = padded(shown, (0.02, 0.06));
        let up = (low * factor, high * factor);

        let texts: Vec<String> = lines
            .iter()
            .map(|(level, _, name)| format!("{name} {}", units.elevation(*level)))
            .collect();
        let labels: Vec<Label> = texts
            .iter()
            .zip(&lines)
            .map(|(text, line)| Label::new(0.0, line.1.color, text))
            .collect();
        let right = self.right - column_width(&labels);
        let mut pair = TimePair::new(
            windows,
            (self.left + FIGURES, right),
            (self.top, self.bottom),
            up,
        );
        if !self.with_whole {
            pair = pair.close_only();
        }

        let [first, second] = subject.heading(units);
        let room = self.right - self.left;
        if subject.wide {
            let text = format!("{first}; {second}");
            let text = shorten(&text, HEADING, room);
            sheet.text((self.left, self.heading), Align::Left, HEADING, BLACK, text);
        } else {
            for (line, text) in [(0.0, first), (1.0, second)] {
                let at = (self.left, self.heading - 2.0 + line * (HEADING + 2.0));
                let size = if line == 0.0 { HEADING } else { SMALL };
                sheet.text(at, Align::Left, size, BLACK, shorten(&text, size, room));
            }
        }
        if subject.wide {
            axis_name(
                sheet,
                (self.left, self.top - 5.0),
                Align::Left,
                format!("height above the room's floor, {unit}"),
            );
        }

        let ticks = round_ticks(up, (self.bottom - self.top) / 32.0);
        pair.backdrop(sheet, &ticks);
        for (level, stroke, _) in &lines {
            pair.level(sheet, level * factor, *stroke);
        }
        for panel in pair.panels() {
            let water = path(&panel, subject.time, |i| {
                subject.series.level.get(i).map_or(f64::NAN, |z| z * factor)
            });
            let width = if panel.across == pair.close.across { SERIES.width } else { 1.0 };
            sheet.line(&water, Stroke { width, ..SERIES });
        }
        pair.frames(sheet);
        self.strip(sheet, &pair, subject);
        pair.time_axis(sheet, windows, STRIP_GAP + STRIP);

        let labels: Vec<Label> = lines
            .iter()
            .zip(texts)
            .map(|((level, stroke, _), text)| {
                Label::new(pair.close.y(level * factor), stroke.color, text)
            })
            .collect();
        let spare = (column_height(labels.len()) - (self.bottom - self.top)).max(0.0);
        draw_column(
            sheet,
            &labels,
            right,
            Side::Right,
            (self.top - 0.5 * spare, self.bottom + 0.5 * spare),
        );
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

fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}
