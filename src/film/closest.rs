//! The name that was meant by one that is not known.

/// Returns the name nearest to what was typed, if it is near enough to be meant.
///
/// Near enough: at most a third of the typed letters (at least one) changed, added or
/// dropped. Of names equally near the first is returned.
#[must_use]
pub fn closest<'a>(typed: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let allowed = (typed.chars().count() / 3).max(1);
    names
        .into_iter()
        .map(|name| (strsim::levenshtein(typed, name), name))
        .filter(|(edits, _)| *edits <= allowed)
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::closest;
    use crate::film::film_names;

    #[test]
    fn a_slip_finds_the_name_and_another_word_finds_none() {
        assert_eq!(closest("wrapcast", film_names()), Some("wrap-cast"));
        assert_eq!(closest("polymerc", film_names()), Some("polymeric"));
        assert_eq!(closest("vinegar", film_names()), None);
        assert_eq!(closest("", film_names()), None);
    }
}
