use crate::random;
use ebbwright::assessment::*;
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::units::UnitSystem;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use std::collections::BTreeMap;
use std::panic::catch_unwind;

#[test]
fn experiment() {
    std::panic::set_hook(Box::new(|_| {}));
    let mut runner = TestRunner::deterministic();
    let mut stats: BTreeMap<(String, String), [u32; 4]> = BTreeMap::new();
    let n: u32 = std::env::var("N").ok().and_then(|n| n.parse().ok()).unwrap_or(60);
    let mut shown: BTreeMap<String, u32> = BTreeMap::new();
    for case in 0..n {
        let system = random::system().new_tree(&mut runner).unwrap().current();
        let Ok(run) = simulate(&system, Sampling::None) else { continue };
        let t = std::time::Instant::now();
        let a = assess(&system, &run, UnitSystem::Metric);
        if t.elapsed().as_millis() > 300 { println!("slow {case} {:?}", t.elapsed()); }
        for c in a.checks.iter().filter(|c| c.status != Status::Pass) {
            let words: String = c.first_fix.split(' ').take(3).collect::<Vec<_>>().join(" ");
            let key = (c.id.key().to_owned(), words);
            let e = stats.entry(key.clone()).or_default();
            let (sys, fix, subj) = (system.clone(), c.first_fix.clone(), c.subject.clone());
            let done = catch_unwind(move || { let mut s = sys; crate::mend::mend(&mut s, &subj, &fix); s });
            let Ok(better) = done else { e[3] += 1; continue };
            let Ok(run2) = simulate(&better, Sampling::None) else { e[3] += 1; continue };
            let b = assess(&better, &run2, UnitSystem::Metric);
            let after = b.checks.iter().find(|d| d.id == c.id && d.subject == c.subject).unwrap();
            let k = if after.status == Status::Pass { 0 } else if after.status < c.status { 1 } else { 2 };
            e[k] += 1;
            if k > 0 {
                let m = shown.entry(format!("{key:?}")).or_default();
                *m += 1;
                if *m <= 2 {
                    println!("--- case {case} {:?}: {}\n  {}\n  AFTER {:?}: {}\n  {}", c.status, c.because, c.first_fix, after.status, after.because, after.first_fix);
                }
            }
        }
    }
    println!("[pass, better, same, not applied]");
    for (k, v) in stats { println!("{:12} {:30} {v:?}", k.0, k.1); }
}

#[test]
fn case() {
    let want: u32 = std::env::var("CASE").unwrap().parse().unwrap();
    let mut runner = TestRunner::deterministic();
    for case in 0..=want {
        let system = random::system().new_tree(&mut runner).unwrap().current();
        if case != want { continue }
        println!("{system:#?}");
        let run = simulate(&system, Sampling::None).unwrap();
        for b in &run.beds { println!("{:?} {:?} peak {} first {} in {:?} least {:?} mode {:?} over {}", b.regime, b.regimes, b.peak_level, b.first_peak_level, b.inflow, b.inflow_least_at_start, b.last_mode, b.overflowed); }
        println!("{:?} {:?}", run.sump, run.line);
        for e in run.events.iter().take(40) { println!("{:.2} {}", e.time, e.kind.in_words(&system)); }
    }
}

#[test]
fn files() {
    for f in std::fs::read_dir("scenarios").unwrap() {
        let p = f.unwrap().path();
        if p.extension().is_none_or(|e| e != "toml") { continue }
        let s = ebbwright::scenario::read(&p).unwrap().system;
        let u = if p.display().to_string().contains("us-") { UnitSystem::Us } else { UnitSystem::Metric };
        let run = simulate(&s, Sampling::None).unwrap();
        let t = std::time::Instant::now();
        let a = assess(&s, &run, u);
        println!("=== {} {:?} {:?} {:?}", p.display(), a.verdict, t.elapsed(), run.beds.iter().map(|b| b.regime).collect::<Vec<_>>());
        println!("{:?} {:?}", a.sump, run.sump.level);
        for c in &a.checks {
            if c.status != Status::Pass { println!("{:?} {} [{}] {}\n    FIX {}", c.status, c.id.key(), c.subject, c.because, c.first_fix); }
        }
        for n in &a.notes { if n.contains("beyond") || n.contains("not ") || n.contains("meet") { println!("NOTE {n}"); } }
    }
}
