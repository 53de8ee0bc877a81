//! Text for HTML and SVG.

/// Text for HTML and SVG.
pub(crate) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            // Control characters may stand in no XML.
            c if c.is_control() => safe.push(' '),
            c => safe.push(c),
        }
    }
    safe
}
