//! Every check of the validation report (`examples/validate`) holds.

#[allow(dead_code, reason = "the report uses more of it")]
#[path = "../../examples/validate/checks/mod.rs"]
pub(crate) mod checks;

#[test]
fn every_quick_check_of_the_report_holds() {
    let groups = checks::quick();
    let rows: usize = groups.iter().map(|group| group.rows.len()).sum();
    assert!(rows > 400, "{rows} rows");
    let misses: Vec<String> = groups.iter().flat_map(checks::Group::misses).collect();
    assert!(misses.is_empty(), "{}", misses.join("\n"));
}

#[test]
fn film_round_an_end_is_that_of_the_independent_numeric() {
    let groups = checks::round_ends::groups();
    let misses: Vec<String> = groups.iter().flat_map(checks::Group::misses).collect();
    assert!(misses.is_empty(), "{}", misses.join("\n"));
}
