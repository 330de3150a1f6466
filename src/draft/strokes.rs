//! Strokes: a line added, changed or removed; each undone and done again.

use super::{Draft, DraftLine, Stroke};

/// So many strokes can be undone.
const MOST: usize = 1000;

impl Draft {
    /// The line of a key.
    pub fn line(&self, key: u64) -> Option<&DraftLine> {
        self.lines.iter().find(|line| line.key == key)
    }

    /// Adds a line at the end; gives its key.
    pub fn add(&mut self, line: DraftLine) -> u64 {
        let key = self.next.max(1);
        self.next = key + 1;
        let line = DraftLine { key, ..line };
        self.stroke(Stroke { before: None, after: Some((self.lines.len(), line)) });
        key
    }

    /// Puts a line in place of the one of the same key; says whether there was one that differs.
    pub fn change(&mut self, line: DraftLine) -> bool {
        let Some(at) = self.lines.iter().position(|l| l.key == line.key) else { return false };
        if self.lines[at] == line {
            return false;
        }
        self.stroke(Stroke { before: Some((at, self.lines[at].clone())), after: Some((at, line)) });
        true
    }

    /// Removes the line of a key; says whether there was one.
    pub fn remove(&mut self, key: u64) -> bool {
        let Some(at) = self.lines.iter().position(|l| l.key == key) else { return false };
        self.stroke(Stroke { before: Some((at, self.lines[at].clone())), after: None });
        true
    }

    fn stroke(&mut self, stroke: Stroke) {
        self.put(stroke.before.as_ref(), stroke.after.as_ref());
        self.past.push(stroke);
        if self.past.len() > MOST {
            self.past.remove(0);
        }
        self.future.clear();
    }

    /// Takes the last stroke back; gives it.
    pub fn undo(&mut self) -> Option<Stroke> {
        let stroke = self.past.pop()?;
        self.put(stroke.after.as_ref(), stroke.before.as_ref());
        self.future.push(stroke.clone());
        Some(stroke)
    }

    /// Does again what was undone last; gives it.
    pub fn redo(&mut self) -> Option<Stroke> {
        let stroke = self.future.pop()?;
        self.put(stroke.before.as_ref(), stroke.after.as_ref());
        self.past.push(stroke.clone());
        Some(stroke)
    }

    fn put(&mut self, gone: Option<&(usize, DraftLine)>, come: Option<&(usize, DraftLine)>) {
        if let Some((_, line)) = gone {
            self.lines.retain(|l| l.key != line.key);
        }
        if let Some((at, line)) = come {
            self.lines.insert((*at).min(self.lines.len()), line.clone());
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn line(text: &str) -> DraftLine {
        DraftLine { text: text.into(), ..DraftLine::default() }
    }

    proptest! {
        /// Whatever was done, undoing all of it leads back to nothing, and doing it again to where one was.
        #[test]
        fn every_stroke_is_undone_and_done_again(acts in prop::collection::vec((0_u8..3, 0_u64..6, "[a-c]{1,3}"), 0..30)) {
            let mut draft = Draft::default();
            for (act, key, text) in acts {
                match act {
                    0 => { draft.add(line(&text)); }
                    1 => { draft.change(DraftLine { key, ..line(&text) }); }
                    _ => { draft.remove(key); }
                }
            }
            let (there, strokes) = (draft.lines.clone(), draft.past.len());
            for _ in 0..strokes { draft.undo(); }
            prop_assert!(draft.lines.is_empty() && draft.undo().is_none());
            for _ in 0..strokes { draft.redo(); }
            prop_assert_eq!(&draft.lines, &there);
            prop_assert!(draft.redo().is_none());
        }
    }

    #[test]
    fn a_key_is_never_given_twice_and_a_new_stroke_ends_what_was_undone() {
        let mut draft = Draft::default();
        assert_eq!((draft.add(line("a")), draft.add(line("b"))), (1, 2));
        draft.undo();
        assert_eq!(draft.add(line("c")), 3);
        assert!(draft.redo().is_none(), "what was undone is gone once something else is written");
        assert!(!draft.change(DraftLine { key: 3, ..line("c") }), "the same again is no stroke");
        assert!(!draft.remove(9));
    }
}
