//! Every cause put into random systems that work, measured with bucket, tape and
//! stopwatch, and diagnosed.

use crate::systems::healthy;
use ebbwright::model::System;
use ebbwright::study::why::*;
use rayon::prelude::*;

/// Severities at which every cause is put in.
pub const SEVERITIES: [f64; 3] = [0.3, 0.6, 0.9];

/// One system with a cause in it, as a person finds it.
pub struct Patient {
    pub system: System,
    pub truth: Outcome,
    pub severity: f64,
    pub question: Question,
}

/// Something said and measured of `truth`; `None` where the person has nothing to complain of.
pub fn patient(system: &System, truth: Outcome, severity: f64, dice: &mut Dice) -> Option<Patient> {
    let nominal = system.coefficients.nominal();
    let (promised, _) = Sight::of(system, &nominal, 8.0 * 3600.0).ok()?;
    let lowest = system.sump.floor + promised.sump.0;
    // The world's coefficients, pump and gravel are not the file's.
    let world = Draw::at_random(&system.coefficients, dice);
    let built = world.built(system);
    let (changed, creeping) = match truth {
        Outcome::AsBuilt => (built, false),
        Outcome::Cause(cause) => (
            cause.acting_on(&built, 0, severity, lowest)?,
            cause.entry().creeping,
        ),
    };
    let (sight, _) = Sight::of(&changed, &world.values, 8.0 * 3600.0).ok()?;
    let chances = Symptom::chances(&sight, &promised, 0, creeping);
    let mut toss = dice.unit();
    let mut symptom = None;
    for (one, share) in Symptom::ALL.into_iter().zip(chances) {
        if toss < share {
            symptom = Some(one);
            break;
        }
        toss -= share;
    }
    let symptom = symptom?;
    let mut readings = Vec::new();
    let mut read = |figure: Figure, bed: usize| {
        if let Some(value) = figure.in_sight(&sight, bed) {
            let sigma = figure.usual_sigma(value);
            let value = (value + sigma * normal(dice)).max(0.0);
            readings.push(Reading {
                figure,
                bed,
                value,
                sigma,
            });
        }
    };
    for figure in MEASURED {
        read(figure, 0);
    }
    if sight.beds.len() > 1 {
        for figure in NEIGHBOUR {
            read(figure, 1);
        }
    }
    Some(Patient {
        system: system.clone(),
        truth,
        severity,
        question: Question {
            bed: 0,
            symptom: Some(symptom),
            seen: Vec::new(),
            readings,
            answers: Vec::new(),
        },
    })
}

/// What is measured on the bed in question.
const MEASURED: [Figure; 9] = [
    Figure::Inflow,
    Figure::FillTime,
    Figure::DrainTime,
    Figure::Peak,
    Figure::Left,
    Figure::Standing,
    Figure::Drop,
    Figure::SumpLow,
    Figure::SumpHigh,
];
/// What is measured on one other bed, where there is one.
const NEIGHBOUR: [Figure; 3] = [Figure::Inflow, Figure::DrainTime, Figure::Peak];

/// Normal deviate (Box and Muller 1958).
pub fn normal(dice: &mut Dice) -> f64 {
    (-2.0 * dice.unit().ln()).sqrt() * (std::f64::consts::TAU * dice.unit()).cos()
}

/// All patients of `systems` systems from `seed`.
pub fn patients(systems: usize, seed: u64) -> (Vec<Patient>, usize) {
    let mut dice = Dice::new(seed);
    let mut content = 0;
    let mut all = Vec::new();
    for _ in 0..systems {
        let system = healthy(&mut dice);
        for cause in Cause::all() {
            for severity in SEVERITIES {
                // Each applicable cause, whether or not anybody would notice.
                let lowest = system.sump.floor;
                if cause
                    .acting_on(&system, 0, severity, lowest + 0.2)
                    .is_none()
                {
                    continue;
                }
                match patient(&system, Outcome::Cause(cause), severity, &mut dice) {
                    Some(patient) => all.push(patient),
                    None => content += 1,
                }
            }
        }
    }
    (all, content)
}

pub struct Verdict {
    pub truth: Cause,
    pub severity: f64,
    pub symptom: Option<Symptom>,
    /// Place of the true cause, from 1.
    pub place: usize,
    /// What came first; `None`: something else.
    pub first: Option<Outcome>,
    pub share: f64,
}

pub fn judge(patients: &[Patient]) -> Vec<Verdict> {
    patients
        .par_iter()
        .filter_map(|patient| {
            let Outcome::Cause(truth) = patient.truth else {
                return None;
            };
            let found = rank(&patient.system, &patient.question).expect("a diagnosis");
            let place = found
                .iter()
                .position(|s| s.0 == Some(patient.truth))
                .unwrap_or(99)
                + 1;
            Some(Verdict {
                truth,
                severity: patient.severity,
                symptom: patient.question.symptom,
                place,
                first: found[0].0,
                share: found[0].1,
            })
        })
        .collect()
}

#[test]
#[ignore]
fn trial() {
    let systems = std::env::var("N")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(6);
    let began = std::time::Instant::now();
    let (all, content) = patients(systems, 42);
    println!(
        "{} patients, {content} content, {:?}",
        all.len(),
        began.elapsed()
    );
    let verdicts = judge(&all);
    println!("{:?}", began.elapsed());
    let n = verdicts.len() as f64;
    let firsts = verdicts.iter().filter(|v| v.place == 1).count() as f64 / n;
    let thirds = verdicts.iter().filter(|v| v.place <= 3).count() as f64 / n;
    let healthy = verdicts
        .iter()
        .filter(|v| v.first == Some(Outcome::AsBuilt))
        .count() as f64
        / n;
    println!("first {firsts:.3} three {thirds:.3} healthy {healthy:.3}");
    for cause in Cause::all() {
        let of: Vec<_> = verdicts.iter().filter(|v| v.truth == cause).collect();
        let first = of.iter().filter(|v| v.place == 1).count();
        let three = of.iter().filter(|v| v.place <= 3).count();
        let mut wrong: Vec<String> = of
            .iter()
            .filter(|v| v.place > 1)
            .map(|v| {
                let name = match v.first {
                    None => "other",
                    Some(Outcome::AsBuilt) => "as-built",
                    Some(Outcome::Cause(c)) => c.entry().key,
                };
                format!(
                    "{name}@{}({}:{:.2})",
                    v.severity,
                    v.symptom.map_or("-", Symptom::key),
                    v.share
                )
            })
            .collect();
        wrong.sort();
        println!(
            "{:18} {first:3}/{three:3}/{:3} {}",
            cause.entry().key,
            of.len(),
            wrong.join(" ")
        );
    }
}
