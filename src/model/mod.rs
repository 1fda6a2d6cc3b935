//! The system as built, in SI units, already checked.
