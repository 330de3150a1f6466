//! Walks the directories of a TIFF structure (TIFF 6.0, section 2) without reading the values they name.
//! Apart from the tag reader, because two questions are asked of the bare layout: is the file cut short, and
//! would reading it cost more memory than it is worth.

use std::collections::HashSet;

/// The most entries walked over all directories; a camera writes a few hundred.
const MOST_ENTRIES: usize = 20_000;
/// The most directories followed in the main chain.
const MOST_PAGES: usize = 64;
/// Exif, GPS and interoperability directories.
const POINTERS: [u16; 3] = [0x8769, 0x8825, 0xa005];
/// A value longer than this is left in the file.
const LONGEST_VALUE: u64 = 1 << 20;
/// All values together.
const LONGEST_TOTAL: u64 = 8 << 20;

/// One twelve-byte directory entry.
#[derive(Debug, Clone, Copy)]
struct Entry {
    /// Where the entry stands in the data.
    at: usize,
    tag: u16,
    kind: u16,
    count: u32,
    /// Index of the page in the main chain; `None` in a directory below.
    page: Option<usize>,
}

/// The layout of one TIFF structure.
#[derive(Debug)]
pub(super) struct Directory<'a> {
    bytes: Bytes<'a>,
    entries: Vec<Entry>,
    /// A table of the main chain stands outside the data.
    broken: bool,
}

#[derive(Debug, Clone, Copy)]
struct Bytes<'a> {
    data: &'a [u8],
    little: bool,
}

impl Bytes<'_> {
    fn u16(self, at: usize) -> Option<u16> {
        let pair = self.data.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if self.little { u16::from_le_bytes(pair) } else { u16::from_be_bytes(pair) })
    }

    fn u32(self, at: usize) -> Option<u32> {
        let four = self.data.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(if self.little { u32::from_le_bytes(four) } else { u32::from_be_bytes(four) })
    }
}

/// Bytes of one value of a field type (TIFF 6.0, section 2; 13 is the directory pointer of its supplements).
const fn width(kind: u16) -> Option<u64> {
    match kind {
        1 | 2 | 6 | 7 => Some(1),
        3 | 8 => Some(2),
        4 | 9 | 11 | 13 => Some(4),
        5 | 10 | 12 => Some(8),
        _ => None,
    }
}

impl<'a> Directory<'a> {
    /// Walks `data`. The error says in words why it cannot be walked.
    pub(super) fn walk(data: &'a [u8]) -> Result<Self, &'static str> {
        let little = match data.get(..4) {
            Some(b"II\x2a\0") => true,
            Some(b"MM\0\x2a") => false,
            _ => return Err("it does not begin as a TIFF structure does"),
        };
        let bytes = Bytes { data, little };
        let mut walk = Self { bytes, entries: Vec::new(), broken: false };
        let mut seen = HashSet::new();
        let mut next = bytes.u32(4).ok_or("it ends within its header")?;
        for page in 0..MOST_PAGES {
            if next == 0 {
                break;
            }
            let mut below = vec![];
            let Some(following) = walk.table(next, Some(page), &mut seen, &mut below)? else {
                walk.broken = true;
                break;
            };
            while let Some(offset) = below.pop() {
                walk.table(offset, None, &mut seen, &mut below)?;
            }
            next = following;
        }
        Ok(walk)
    }

    /// Lists one table; gives the offset of the next one, or `None` where the table leaves the data.
    fn table(
        &mut self,
        offset: u32,
        page: Option<usize>,
        seen: &mut HashSet<u32>,
        below: &mut Vec<u32>,
    ) -> Result<Option<u32>, &'static str> {
        if !seen.insert(offset) {
            return Ok(Some(0)); // been here: the chain bites its tail
        }
        let Some(count) = self.bytes.u16(offset as usize) else { return Ok(None) };
        let first = offset as usize + 2;
        for i in 0..usize::from(count) {
            let at = first + 12 * i;
            let (Some(tag), Some(kind), Some(count), Some(value)) =
                (self.bytes.u16(at), self.bytes.u16(at + 2), self.bytes.u32(at + 4), self.bytes.u32(at + 8))
            else {
                return Ok(None);
            };
            self.entries.push(Entry { at, tag, kind, count, page });
            if self.entries.len() > MOST_ENTRIES {
                return Err("its directories claim more than 20000 tags");
            }
            if POINTERS.contains(&tag) {
                below.push(if kind == 3 { u32::from(self.bytes.u16(at + 8).unwrap_or(0)) } else { value });
            }
        }
        Ok(self.bytes.u32(first + 12 * usize::from(count)))
    }

    fn size(entry: Entry) -> Option<u64> {
        width(entry.kind).map(|w| w * u64::from(entry.count))
    }

    /// Whether the data reaches as far as the entry's value does.
    fn holds(&self, entry: Entry) -> bool {
        let Some(size) = Self::size(entry).filter(|&s| s > 4) else { return true };
        let Some(offset) = self.bytes.u32(entry.at + 8) else { return false };
        u64::from(offset) + size <= self.bytes.data.len() as u64
    }

    /// The numbers of the first page's entry `tag`, as far as they can be read.
    fn numbers(&self, page: usize, tag: u16) -> Vec<u32> {
        let Some(&entry) = self.entries.iter().find(|e| e.page == Some(page) && e.tag == tag) else {
            return vec![];
        };
        let (Some(size), Some(width)) = (Self::size(entry), width(entry.kind)) else {
            return vec![];
        };
        let start = if size <= 4 { entry.at + 8 } else { self.bytes.u32(entry.at + 8).unwrap_or(0) as usize };
        (0..entry.count as usize)
            .map_while(|i| {
                let at = start.checked_add(i.checked_mul(width as usize)?)?;
                match entry.kind {
                    3 => self.bytes.u16(at).map(u32::from),
                    4 => self.bytes.u32(at),
                    _ => None,
                }
            })
            .collect()
    }

    /// What the structure points to but the file does not hold, for a TIFF photograph.
    pub(super) fn missing(&self) -> Option<&'static str> {
        if self.broken {
            return Some("a directory of the TIFF lies beyond the end of the file");
        }
        let pages = self.entries.iter().filter_map(|e| e.page).max()?;
        if self.entries.iter().any(|&e| e.page.is_some() && !self.holds(e)) {
            return Some("a value of the TIFF directory lies beyond the end of the file");
        }
        let end = self.bytes.data.len() as u64;
        for page in 0..=pages {
            // Strips, then tiles: offsets and byte counts.
            for (offsets, counts) in [(273, 279), (324, 325)] {
                let pairs = self.numbers(page, offsets).into_iter().zip(self.numbers(page, counts));
                if pairs.into_iter().any(|(at, count)| u64::from(at) + u64::from(count) > end) {
                    return Some("part of the picture lies beyond the end of the file");
                }
            }
        }
        None
    }

    /// A single number of the first page.
    pub(super) fn first_number(&self, tag: u16) -> Option<u32> {
        self.numbers(0, tag).first().copied()
    }

    /// Whether the first page has this tag at all.
    pub(super) fn has(&self, tag: u16) -> bool {
        self.entries.iter().any(|e| e.page == Some(0) && e.tag == tag)
    }

    /// The colour profile of the first page, which ICC.1 (annex B.4 of its 2004 edition) lays into tag 34675.
    pub(super) fn profile(&self) -> Option<&'a [u8]> {
        let entry = self.entries.iter().find(|e| e.page == Some(0) && e.tag == 34675)?;
        let size = Self::size(*entry).filter(|size| (5..=LONGEST_TOTAL).contains(size))?;
        let start = self.bytes.u32(entry.at + 8)? as usize;
        self.bytes.data.get(start..start.checked_add(usize::try_from(size).ok()?)?)
    }

    /// Entries whose value is too long to be worth reading: where the count stands, the tag, the bytes.
    pub(super) fn oversized(&self) -> Vec<(usize, u16, u64)> {
        let mut total = 0;
        let mut long = vec![];
        for &entry in &self.entries {
            let Some(size) = Self::size(entry) else { continue };
            if size > LONGEST_VALUE || total + size > LONGEST_TOTAL {
                long.push((entry.at + 4, entry.tag, size));
            } else {
                total += size;
            }
        }
        long
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A little-endian structure with one directory of `entries` (tag, type, count, value).
    fn one_page(entries: &[(u16, u16, u32, u32)], next: u32) -> Vec<u8> {
        let mut data = b"II\x2a\0\x08\0\0\0".to_vec();
        data.extend((entries.len() as u16).to_le_bytes());
        for &(tag, kind, count, value) in entries {
            data.extend(tag.to_le_bytes());
            data.extend(kind.to_le_bytes());
            data.extend(count.to_le_bytes());
            data.extend(value.to_le_bytes());
        }
        data.extend(next.to_le_bytes());
        data
    }

    #[test]
    fn what_lies_beyond_the_end_is_named() {
        let end = 8 + 2 + 24 + 4;
        let cases = [
            (one_page(&[(256, 3, 1, 5), (257, 3, 1, 5)], 0), None),
            (one_page(&[(273, 4, 1, 8), (279, 4, 1, end - 8)], 0), None),
            (one_page(&[(273, 4, 1, 8), (279, 4, 1, end - 7)], 0), Some("part of the picture")),
            (one_page(&[(324, 4, 1, 9), (325, 4, 1, end - 8)], 0), Some("part of the picture")),
            (one_page(&[(256, 3, 1, 5), (282, 5, 1, end - 8)], 0), None),
            (one_page(&[(256, 3, 1, 5), (282, 5, 1, end - 7)], 0), Some("a value")),
            (one_page(&[(256, 3, 1, 5), (257, 3, 1, 5)], 9999), Some("a directory")),
            (one_page(&[(256, 3, 1, 5), (257, 3, 1, 5)], 8), None), // a chain that bites its tail ends
        ];
        for (n, (data, want)) in cases.iter().enumerate() {
            let missing = Directory::walk(data).expect("a TIFF header").missing();
            match want {
                Some(words) => {
                    assert!(missing.is_some_and(|m| m.starts_with(words)), "{n}: {missing:?}");
                }
                None => assert_eq!(missing, None, "{n}"),
            }
        }
    }

    #[test]
    fn overlapping_values_and_directories_are_not_paid_for_twice() {
        let long = one_page(&[(700, 7, 2 << 20, 0), (700, 7, 1 << 20, 0)], 0);
        let found = Directory::walk(&long).expect("walks").oversized();
        assert_eq!(found, [(14, 700, 2 << 20)]);
        let many = one_page(&[(700, 7, 1 << 20, 0); 9], 0);
        assert_eq!(Directory::walk(&many).expect("walks").oversized().len(), 1);
        // Two thousand pointers, each to another place in a row of overlapping directories.
        let nest: Vec<_> = (0..2000).map(|i| (0x8769, 4, 1, 10 + 12 * i)).collect();
        assert!(Directory::walk(&one_page(&nest, 0)).is_err());
    }
}
