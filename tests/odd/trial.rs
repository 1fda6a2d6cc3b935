//! One odd system, read, simulated and judged.

use ebbwright::assessment::{Assessment, SumpVolumes, assess, sump_volumes};
use ebbwright::model::System;
use ebbwright::scenario;
use ebbwright::simulation::{Run, Sampling, resolve_worst, simulate};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Everything that the properties look at.
pub struct Trial {
    pub system: System,
    pub run: Run,
    pub assessment: Assessment,
    pub volumes: SumpVolumes,
    /// An incident was put at its worst moment.
    pub worst: bool,
}

/// Samples of a recording at least.
const SAMPLES: f64 = 400.0;

/// The system of a valid file.
pub fn read(text: &str) -> Result<System, String> {
    let read = scenario::parse(text, "odd.toml");
    read.map(|scenario| scenario.system)
        .map_err(|error| error.render(false))
}

impl Trial {
    /// As `ebbwright run` does it.
    pub fn new(system: &System) -> Result<Self, String> {
        let work = || -> Result<Self, String> {
            let (system, placed) =
                resolve_worst(system).map_err(|error| format!("worst moment: {error}"))?;
            let every = match system.duration {
                ebbwright::model::Duration::Fixed(seconds) => seconds / SAMPLES,
                ebbwright::model::Duration::UntilSettled { .. } => 60.0,
            };
            let run = simulate(&system, Sampling::Every(every.max(10.0)))
                .map_err(|error| error.to_string())?;
            let assessment = assess(&system, &run);
            let volumes = sump_volumes(&system, &run);
            Ok(Self {
                system,
                run,
                assessment,
                volumes,
                worst: !placed.is_empty(),
            })
        };
        catch_unwind(AssertUnwindSafe(work))
            .unwrap_or_else(|panic| Err(format!("panic: {}", message(&*panic))))
    }
}

/// What a panic said.
pub fn message(panic: &(dyn std::any::Any + Send)) -> String {
    let text = panic.downcast_ref::<String>().cloned();
    text.or_else(|| panic.downcast_ref::<&str>().map(|text| (*text).to_owned()))
        .unwrap_or_default()
}
