//! A labelled figure, of the commands that have no document yet.

/// A figure with its name.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    /// Short name.
    pub label: &'static str,
    /// Figures with units.
    pub value: String,
}

pub(super) fn row(label: &'static str, value: String) -> Row {
    Row { label, value }
}
