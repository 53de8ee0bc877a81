//! Numbers as people read them in the pictures.

/// Thin space: between a number and its unit or percent sign.
pub(super) const THIN: char = '\u{2009}';
pub(super) const MINUS: &str = "\u{2212}";

/// A number with at most `digits` decimals, no trailing zeros, a real minus sign.
pub(super) fn number(v: f64, digits: usize) -> String {
    let mut text = format!("{v:.digits$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" {
        "0".to_owned()
    } else {
        text.replace('-', MINUS)
    }
}

/// Percent with at most one decimal.
pub(super) fn percent(v: f64) -> String {
    format!("{}{THIN}%", number(v, 1))
}

/// Millimetres with at most one decimal.
pub(super) fn mm(v: f64) -> String {
    format!("{}{THIN}mm", number(v, 1))
}

/// The text with its first letter in upper case.
pub(super) fn upper(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}
