//! To come.
use super::{Kind, Quantity, Unreadable};
pub(crate) fn read(kind: Kind, text: &str) -> Result<Quantity, Unreadable> {
    Err(Unreadable::new(0, format!("`{text}` cannot be read yet as {kind}")).nearest(""))
}
