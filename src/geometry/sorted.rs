//! Lists in the order of a number.

/// Sorts a list by a number, equal ones staying as they were.
///
/// The sorting proper is of numbers alone and so compiled once, whatever the list holds: a sort of
/// its own for every kind of list made the page's engine 3 % larger.
pub(crate) fn sort_by_number<T>(list: &mut Vec<T>, number: impl Fn(&T) -> f64) {
    let mut items: Vec<Option<T>> = Vec::with_capacity(list.len());
    let numbers = list.iter().map(number).collect();
    items.extend(list.drain(..).map(Some));
    let in_order = order_of(numbers).into_iter();
    list.extend(in_order.filter_map(|(_, i)| items[i].take()));
}

/// Numbers in order, each with its place in the list.
fn order_of(numbers: Vec<f64>) -> Vec<(f64, usize)> {
    let places = numbers.into_iter().enumerate();
    let mut all: Vec<(f64, usize)> = places.map(|(i, v)| (v, i)).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_is_sorted_and_equal_ones_stay_as_they_were() {
        let mut list = vec![(2.0, 'a'), (-1.0, 'b'), (2.0, 'c'), (0.0, 'd'), (-1.0, 'e')];
        sort_by_number(&mut list, |item| item.0);
        let letters: String = list.iter().map(|item| item.1).collect();
        assert_eq!(letters, "bedac");
    }
}
