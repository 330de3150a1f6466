//! XML as the exports write it: elements inside elements, every text escaped, and nothing that XML 1.0 cannot hold.

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// A document that is being written.
pub(super) struct Xml(Writer<Vec<u8>>);

/// Attributes, in order.
pub(super) type Attributes<'a> = &'a [(&'a str, &'a str)];

impl Xml {
    /// A whole document with this element at its root.
    pub fn document(root: &str, attributes: Attributes<'_>, inside: impl FnOnce(&mut Self)) -> String {
        let mut xml = Self(Writer::new_with_indent(Vec::new(), b' ', 1));
        xml.put(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)));
        xml.element(root, attributes, inside);
        let mut text = String::from_utf8(xml.0.into_inner()).unwrap_or_default();
        text.push('\n');
        text
    }

    /// An element with others inside.
    pub fn element(&mut self, name: &str, attributes: Attributes<'_>, inside: impl FnOnce(&mut Self)) {
        self.put(Event::Start(start(name, attributes)));
        inside(self);
        self.put(Event::End(BytesEnd::new(name)));
    }

    /// An element with a text inside.
    pub fn text(&mut self, name: &str, attributes: Attributes<'_>, text: &str) {
        self.element(name, attributes, |x| x.put(Event::Text(BytesText::new(&held(text)))));
    }

    /// An element with nothing inside.
    pub fn empty(&mut self, name: &str, attributes: Attributes<'_>) {
        self.put(Event::Empty(start(name, attributes)));
    }

    /// An element with a text inside, unless the text is blank.
    pub fn may(&mut self, name: &str, attributes: Attributes<'_>, text: Option<&str>) {
        if let Some(text) = text.map(str::trim).filter(|t| !t.is_empty()) {
            self.text(name, attributes, text);
        }
    }

    /// Memory takes all that is written to it, so there is no error to pass on.
    fn put(&mut self, event: Event<'_>) {
        let _ = self.0.write_event(event);
    }
}

fn start<'a>(name: &'a str, attributes: Attributes<'_>) -> BytesStart<'a> {
    let mut start = BytesStart::new(name);
    for (name, value) in attributes {
        start.push_attribute((*name, &*held(value)));
    }
    start
}

/// A text with what XML 1.0 (fifth edition, production 2, `Char`) cannot hold replaced by U+FFFD, so that its loss shows;
/// a line ends in a line feed, as a reader would make of it anyway (2.11).
fn held(text: &str) -> String {
    let held = |c: char| matches!(c, '\t' | '\n' | '\u{20}'..='\u{FFFD}' | '\u{10000}'..);
    text.replace("\r\n", "\n").replace('\r', "\n").chars().map(|c| if held(c) { c } else { '\u{FFFD}' }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_text_can_leave_it() {
        for (text, written) in [
            ("a < b & c", "a &lt; b &amp; c"),
            ("</x><y/>", "&lt;/x&gt;&lt;y/&gt;"),
            ("]]>", "]]&gt;"),
            ("\u{0}\u{1}\u{b}\u{1f}\u{ffff}", "\u{FFFD}\u{FFFD}\u{FFFD}\u{FFFD}\u{FFFD}"),
            ("one\r\ntwo\rthree\ttab", "one\ntwo\nthree\ttab"),
            ("½ é 𝄞", "½ é 𝄞"),
        ] {
            let document = Xml::document("r", &[("a", text)], |x| x.text("x", &[], text));
            assert!(document.contains(&format!("<x>{written}</x>")), "{document}");
            assert_eq!(document.matches('<').count(), 5, "{document}");
        }
    }

    #[test]
    fn blank_elements_are_left_out() {
        let document = Xml::document("r", &[], |x| {
            x.may("a", &[], None);
            x.may("b", &[], Some("  "));
            x.may("c", &[], Some(" c "));
        });
        assert_eq!(document, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<r>\n <c>c</c>\n</r>\n");
    }
}
