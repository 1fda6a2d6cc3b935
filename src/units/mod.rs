//! Quantities as people type and read them; SI inside.
