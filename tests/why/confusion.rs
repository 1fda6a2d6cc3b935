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
            ..Question::default()
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

/// Complaints of systems in which nothing is broken but the coefficients, pump and gravel
/// are not quite the file's.
fn unfounded(systems: usize, seed: u64) -> Vec<Patient> {
    let mut dice = Dice::new(seed.wrapping_add(1));
    let mut all = Vec::new();
    for _ in 0..systems {
        let system = healthy(&mut dice);
        all.extend((0..30).filter_map(|_| patient(&system, Outcome::AsBuilt, 0.0, &mut dice)));
    }
    all
}

pub struct Verdict {
    pub truth: Outcome,
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
        .map(|patient| {
            let found = rank(&patient.system, &patient.question).expect("a diagnosis");
            let place = found
                .iter()
                .position(|s| s.0 == Some(patient.truth))
                .unwrap_or(99)
                + 1;
            Verdict {
                truth: patient.truth,
                severity: patient.severity,
                symptom: patient.question.symptom,
                place,
                first: found[0].0,
                share: found[0].1,
            }
        })
        .collect()
}

/// Shares of first places, of places among the first three, and of "as built" coming first.
pub fn rates(verdicts: &[Verdict]) -> (f64, f64, f64) {
    let share = |holds: &dyn Fn(&Verdict) -> bool| {
        verdicts.iter().filter(|v| holds(v)).count() as f64 / verdicts.len().max(1) as f64
    };
    (
        share(&|v| v.place == 1),
        share(&|v| v.place <= 3),
        share(&|v| v.first == Some(Outcome::AsBuilt)),
    )
}

/// The table of a run as Markdown.
fn table(run: &Trial) -> String {
    let Trial {
        systems,
        seed,
        content,
        verdicts,
        unfounded,
    } = run;
    let (first, three, healthy) = rates(verdicts);
    let mut out = format!(
        "{systems} random systems, seed {seed}, {} complaints ({content} more with nothing to \
         complain of). True cause first {:.0} %, among the first three {:.0} %, false \"nothing is \
         broken\" {:.1} %. Of {} complaints about systems in which nothing was broken, \"nothing is \
         broken\" came among the first three in {:.0} %.\n\n\
         | true cause | complaints | first | first three | taken for |\n\
         | --- | --- | --- | --- | --- |\n",
        verdicts.len(),
        100.0 * first,
        100.0 * three,
        100.0 * healthy,
        unfounded.len(),
        100.0 * rates(unfounded).1,
    );
    let rows = Cause::all().map(Outcome::Cause).chain([Outcome::AsBuilt]);
    for outcome in rows {
        let of: Vec<&Verdict> = verdicts
            .iter()
            .chain(unfounded)
            .filter(|v| v.truth == outcome)
            .collect();
        if of.is_empty() {
            continue;
        }
        let within = |k: usize| of.iter().filter(|v| v.place <= k).count();
        let mut wrong: Vec<(usize, &str)> = Vec::new();
        for v in of.iter().filter(|v| v.place > 1) {
            let name = v.first.map_or("something else", Outcome::key);
            match wrong.iter_mut().find(|w| w.1 == name) {
                Some(w) => w.0 += 1,
                None => wrong.push((1, name)),
            }
        }
        wrong.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(b.1)));
        let wrong: Vec<String> = wrong
            .iter()
            .map(|(n, name)| format!("{name} {n}"))
            .collect();
        out += &format!(
            "| {} | {} | {} | {} | {} |\n",
            outcome.key(),
            of.len(),
            within(1),
            within(3),
            wrong.join(", ")
        );
    }
    out
}

/// One run of the table.
struct Trial {
    systems: usize,
    seed: u64,
    content: usize,
    verdicts: Vec<Verdict>,
    unfounded: Vec<Verdict>,
}

const SEED: u64 = 20_263;
const BEGIN: &str = "<!-- confusion: begin -->";
const END: &str = "<!-- confusion: end -->";

// Regenerates the table of DEVELOPERS.md:
// UPDATE_CONFUSION=1 cargo test --release --test why confusion_in_full -- --ignored
#[test]
#[ignore = "minutes; publishes the table"]
fn confusion_in_full() {
    let asked = |name: &str| std::env::var(name).ok().and_then(|n| n.parse::<u64>().ok());
    let systems = asked("CONFUSION_SYSTEMS").map_or(6, |n| n as usize);
    let seed = asked("CONFUSION_SEED").unwrap_or(SEED);
    let (all, content) = patients(systems, seed);
    println!("{} patients, {content} content", all.len());
    let run = Trial {
        systems,
        seed,
        content,
        verdicts: judge(&all),
        unfounded: judge(&unfounded(systems, seed)),
    };
    let text = table(&run);
    println!("{text}");
    for v in run.verdicts.iter().filter(|v| v.place > 1) {
        println!(
            "{} @{} {} -> {} {:.2}, place {}",
            v.truth.key(),
            v.severity,
            v.symptom.map_or("-", Symptom::key),
            v.first.map_or("other", Outcome::key),
            v.share,
            v.place
        );
    }
    if std::env::var("UPDATE_CONFUSION").is_ok() {
        let page = std::fs::read_to_string("DEVELOPERS.md").unwrap();
        let (before, rest) = page.split_once(BEGIN).unwrap();
        let (_, after) = rest.split_once(END).unwrap();
        let page = format!("{before}{BEGIN}\n{text}{END}{after}");
        std::fs::write("DEVELOPERS.md", page).unwrap();
    }
    let (first, three, healthy) = rates(&run.verdicts);
    assert!(first >= 0.70, "true cause first in {first:.3}");
    assert!(three >= 0.90, "among the first three in {three:.3}");
    assert!(healthy < 0.02, "false healthy in {healthy:.3}");
}
