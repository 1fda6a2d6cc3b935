//! The answer as a JSON document with fixed keys, SI units. Keys are only ever added.

use crate::report::cut::{refusal_because, refusal_fix};
use serde::Serialize;

use crate::assessment::Status;
use crate::report::cut::CutReport;
use crate::report::json::Number;
use crate::report::words::{regime_key, verdict_key};
use crate::study::cut::{BedCut, Bound, Cut, CutList, Rounded, Stand};

impl CutReport<'_> {
    /// One JSON document, indented, ending with a line break. Figures do not
    /// depend on the report's `units`; sentences do.
    ///
    /// # Errors
    /// None that plain numbers and text can cause; the serialiser's is passed on.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        let mut text = serde_json::to_string_pretty(&self.document())?;
        text.push('\n');
        Ok(text)
    }

    fn document(&self) -> Document<'_> {
        let checks = &self.cuts.assessment.checks;
        Document {
            schema: 1,
            version: env!("CARGO_PKG_VERSION"),
            title: &self.system.title,
            verdict: if self.all_cut() { "pass" } else { "fail" },
            wanted_dry_layer_m: Number(self.cuts.wanted),
            simulations: self.cuts.simulations,
            beds: self
                .cuts
                .beds
                .iter()
                .map(|found| self.bed_part(found))
                .collect(),
            still_failing: checks
                .iter()
                .filter(|check| check.status == Status::Fail)
                .map(|check| Failing {
                    id: check.id.key(),
                    subject: check.subject.name(self.system),
                })
                .collect(),
            notes: self.notes(),
        }
    }

    fn bed_part(&self, found: &BedCut) -> BedPart<'_> {
        BedPart {
            name: &self.bed(found).name,
            allowance_m: Number(found.allowance),
            present: stand(&found.present),
            cut: found.answer.as_deref().ok().map(cut_part),
            refused: found.answer.as_ref().err().map(|refusal| RefusedPart {
                reason: refusal.key(),
                because: refusal_because(self.system, refusal, self.units),
                first_fix: refusal_fix(self.system, refusal, self.units),
            }),
        }
    }
}

#[derive(Serialize)]
struct Document<'a> {
    schema: u32,
    version: &'static str,
    title: &'a str,
    verdict: &'static str,
    wanted_dry_layer_m: Number,
    simulations: usize,
    beds: Vec<BedPart<'a>>,
    still_failing: Vec<Failing<'a>>,
    notes: Vec<String>,
}

#[derive(Serialize)]
struct BedPart<'a> {
    name: &'a str,
    allowance_m: Number,
    present: StandPart,
    cut: Option<CutPart>,
    refused: Option<RefusedPart>,
}

#[derive(Serialize)]
struct StandPart {
    length_m: Number,
    peak_depth_m: Number,
    dry_layer_m: Number,
}

#[derive(Serialize)]
struct CutPart {
    computed: StandPart,
    millimetre: RoundedPart,
    sixteenth_inch: RoundedPart,
    band: BandPart,
    start_head_m: Number,
    peak_spread_m: Number,
    will_start: &'static str,
    will_break: &'static str,
}

#[derive(Serialize)]
struct RoundedPart {
    #[serde(flatten)]
    stand: StandPart,
    clearance_m: Number,
    pieces: PiecesPart,
}

#[derive(Serialize)]
struct PiecesPart {
    standpipe_m: Number,
    bell_m: Number,
    guard_m: Option<Number>,
    air_tube_m: Option<Number>,
    down_leg_m: Number,
    lateral_m: Option<Number>,
}

#[derive(Serialize)]
struct BandPart {
    shortest: Option<BoundPart>,
    longest: BoundPart,
}

#[derive(Serialize)]
struct BoundPart {
    length_m: Number,
    regime: &'static str,
}

#[derive(Serialize)]
struct RefusedPart {
    reason: &'static str,
    because: String,
    first_fix: String,
}

#[derive(Serialize)]
struct Failing<'a> {
    id: &'static str,
    subject: &'a str,
}

fn stand(of: &Stand) -> StandPart {
    StandPart {
        length_m: Number(of.length),
        peak_depth_m: Number(of.peak),
        dry_layer_m: Number(of.dry_layer),
    }
}

fn cut_part(cut: &Cut) -> CutPart {
    CutPart {
        computed: stand(&cut.exact),
        millimetre: rounded(&cut.millimetre),
        sixteenth_inch: rounded(&cut.sixteenth),
        band: BandPart {
            shortest: cut.band.shortest.as_ref().map(bound),
            longest: bound(&cut.band.longest),
        },
        start_head_m: Number(cut.start_head),
        peak_spread_m: Number(cut.peak_spread),
        will_start: verdict_key(cut.will_start),
        will_break: verdict_key(cut.will_break),
    }
}

fn rounded(of: &Rounded) -> RoundedPart {
    RoundedPart {
        stand: stand(&of.stand),
        clearance_m: Number(of.bed.siphon.bell.clearance),
        pieces: pieces(&of.list),
    }
}

fn pieces(list: &CutList) -> PiecesPart {
    PiecesPart {
        standpipe_m: Number(list.standpipe),
        bell_m: Number(list.bell),
        guard_m: list.guard.map(Number),
        air_tube_m: list.air_tube.map(Number),
        down_leg_m: Number(list.down_leg),
        lateral_m: list.lateral.map(Number),
    }
}

fn bound(of: &Bound) -> BoundPart {
    BoundPart {
        length_m: Number(of.length),
        regime: regime_key(of.regime),
    }
}
