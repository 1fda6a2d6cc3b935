//! Why a run has no answer.

use crate::numerics::integrate::IntegrationFailure;
use crate::simulation::EventKind;

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
    /// The asked time is not a positive number.
    #[error("the time to simulate must be a positive number of seconds, not {seconds}")]
    NoTime {
        /// What was asked `[s]`.
        seconds: f64,
    },
}
