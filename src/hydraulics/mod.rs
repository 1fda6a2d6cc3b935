//! Published hydraulics as plain functions of SI numbers.
