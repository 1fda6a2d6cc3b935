//! Why a run has no answer.

use crate::numerics::integrate::IntegrationFailure;
use crate::simulation::EventKind;
use crate::units::HOUR;

/// Why a run has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SimulationError {
    /// Events follow one another without time passing.
    #[error(
        "more than {count} events within {window:.0} s at t = {time:.1} s ({sequence}); \
         this is a fault of ebbwright, please report it with the scenario"
    )]
    Chatter {
        /// When it was given up `[s]`.
        time: f64,
        /// Events counted.
        count: usize,
        /// Within this time `[s]`.
        window: f64,
        /// The last few events in words.
        sequence: String,
        /// The last event.
        last: EventKind,
    },
    /// The integrator gave up.
    #[error("{0}; this is a fault of ebbwright, please report it with the scenario")]
    Integration(#[from] IntegrationFailure),
    /// Water appeared or vanished.
    #[error(
        "{litres:.1e} L of water are unaccounted for after {time:.0} s; \
         this is a fault of ebbwright, please report it with the scenario"
    )]
    WaterLost {
        /// When `[s]`.
        time: f64,
        /// How much `[L]`.
        litres: f64,
    },
    /// An incident's time is still to be searched.
    #[error(
        "event {} happens at the worst moment, and that has not been searched yet: \
         resolve it with worst_moment first", index + 1
    )]
    WorstUnresolved {
        /// Index of the incident.
        index: usize,
    },
    /// There is no such incident to search the time of.
    #[error("there is no event {}", index + 1)]
    NoIncident {
        /// Index asked for.
        index: usize,
    },
    /// More beds than the engine is built for.
    #[error("{beds} beds are more than the {most} that one run can hold")]
    TooManyBeds {
        /// Beds in the system.
        beds: usize,
        /// Most beds.
        most: usize,
    },
    /// It costs more than a run may.
    #[error(
        "after {:.2} h the simulation was given up: {:.2} h of it would take too long, for its parts hang on one \
         another at every moment, as the siphons of many beds do on a drain line that carries next to \
         nothing, or beds that run into each other through wide inlets under water; {}look for a line that \
         is far too thin or blocked, and for inlets that end under water behind a pump too weak for them",
        time / HOUR, asked / HOUR, as_far_as(*time)
    )]
    TooMuch {
        /// When it was given up `[s]`.
        time: f64,
        /// What was asked for `[s]`.
        asked: f64,
    },
    /// The asked time is not a positive number.
    #[error("the time to simulate must be a positive number of seconds, not {seconds}")]
    NoTime {
        /// What was asked `[s]`.
        seconds: f64,
    },
}

/// As far as it got, in whole hundredths of an hour, where that is any.
fn as_far_as(time: f64) -> String {
    let hours = (time / HOUR * 100.0).floor() / 100.0;
    if hours > 0.0 {
        format!("simulate {hours:.2} h, or ")
    } else {
        String::new()
    }
}
