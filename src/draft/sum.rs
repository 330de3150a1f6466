//! The checksum in the file of a draft: a bit that flipped on the disk is never taken for what somebody wrote.
//!
//! The file is one JSON object whose first field `sum` is the SHA-256 of the object's text without that field. A file
//! without it, from before there was one, is read as it is.

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::digest::sha256;

const HEAD: &str = "{\"sum\":\"";
const TAIL: &str = "\",";

/// The bytes of a file that says this, its checksum first. It is a structure with fields, so that its text is an object.
///
/// # Errors
/// What the writer says.
pub(super) fn with_sum<T: Serialize>(value: &T) -> Result<Vec<u8>, String> {
    let text = serde_json::to_string(value).map_err(|e| e.to_string())?;
    let fields = text.strip_prefix('{').ok_or("it has no fields")?;
    Ok([HEAD, &sha256(text.as_bytes()), TAIL, fields].concat().into_bytes())
}

/// What such a file says. A field that is not known is no older file but a name that was changed: types read here refuse it.
///
/// # Errors
/// In words, if it is not the bytes that were written or none of ours.
pub(super) fn read<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, String> {
    let Some(rest) = bytes.strip_prefix(HEAD.as_bytes()) else {
        return serde_json::from_slice(bytes).map_err(|e| e.to_string());
    };
    let (sum, rest) = rest.split_at_checked(64).ok_or("it ends in the middle of its checksum")?;
    let fields = rest.strip_prefix(TAIL.as_bytes()).ok_or("its checksum is damaged")?;
    let text = [b"{", fields].concat();
    if sha256(&text).as_bytes() != sum {
        return Err("its bytes have changed since they were written".into());
    }
    serde_json::from_slice(&text).map_err(|e| e.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draft::{Draft, DraftLine, KeptList};

    fn no_flip_is_read<T: Serialize + DeserializeOwned + PartialEq + std::fmt::Debug>(value: &T) {
        let bytes = with_sum(value).expect("written");
        assert_eq!(read::<T>(&bytes).as_ref(), Ok(value));
        let plain = serde_json::to_vec(value).expect("written");
        assert_eq!(read::<T>(&plain).as_ref(), Ok(value), "a file from before is read as it is");
        for at in 0..bytes.len() * 8 {
            let mut spoilt = bytes.clone();
            spoilt[at / 8] ^= 1 << (at % 8);
            assert!(read::<T>(&spoilt).is_err(), "bit {at}: {}", String::from_utf8_lossy(&spoilt));
        }
        for length in 0..bytes.len() {
            assert!(read::<T>(&bytes[..length]).is_err(), "the first {length} bytes");
        }
    }

    #[test]
    fn every_flipped_bit_and_every_cut_is_noticed() {
        let line = DraftLine { key: 3, text: "tear, 4 mm – \"hem\"".into(), ..DraftLine::default() };
        no_flip_is_read(&Draft { number: "2031.7".into(), lines: vec![line], ..Draft::default() });
        no_flip_is_read(&KeptList { name: "alt.csv".into(), mapping: "a = 1\n".into(), ..KeptList::default() });
    }
}
