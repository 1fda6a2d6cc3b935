//! Root finding, monotone tables and integration; nothing here knows hydraulics.
