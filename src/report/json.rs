//! Numbers in JSON, of the commands that have no document yet.

use serde::{Serialize, Serializer};

/// A number that is `null` unless finite, and never a negative nought.
#[derive(Clone, Copy)]
pub(super) struct Number(pub f64);

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0.is_finite() {
            serializer.serialize_f64(self.0 + 0.0)
        } else {
            serializer.serialize_none()
        }
    }
}
