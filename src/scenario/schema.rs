//! The JSON Schema of the format.

use serde_json::Value as Json;

/// The JSON Schema of the scenario format.
pub fn schema() -> Json {
    Json::Null
}
