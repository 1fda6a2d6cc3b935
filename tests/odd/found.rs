//! Systems that once broke a property, kept by name.
