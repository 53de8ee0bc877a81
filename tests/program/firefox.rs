//! The page in Firefox: what was once got wrong in Chromium, on the single file from disk and on
//! the served page. One browser for all; skipped, and said so, where there is none.

use crate::browser::on_disk;
use crate::common::firefox::{Firefox, firefox};
use crate::common::screen::Screen as _;
use crate::common::serving;
use crate::seen;

/// What is tried, each on a page opened anew.
type Check = (&'static str, (u32, u32), fn(&mut Firefox));

const CHECKS: [Check; 9] = [
    ("print", (1000, 800), |page| {
        let changes = [
            "s.film = 'polymeric'; s.bridge = 180",
            "s.film = 'wrap-cast'; s.bridge = null; s.shape.depth = 21",
        ];
        seen::the_menu_prints_what_is_on_the_screen(page, &changes.map(str::to_owned));
    }),
    ("fault", (1280, 900), |page| {
        // Of tape readings each class takes a second.
        page.eval("(document.getElementById('classes').open = false)");
        seen::while_a_fault_stands_no_old_result_does(page);
    }),
    ("thumb", (390, 664), |page| {
        seen::a_finger_taken_for_scrolling_changes_nothing(page);
        // Along the slider it is the width.
        page.swipe("#bridge", 60.0, 0.0);
        page.settle();
        assert!(page.number("tautspan.page.state.bridge") > 140.0);
        seen::a_width_that_cannot_be_is_said(page);
    }),
    ("curve", (1280, 900), seen::edges_first_is_on_the_curve),
    ("reload", (390, 664), seen::a_reload_brings_the_state_back),
    ("points", (1280, 900), seen::single_points_are_few),
    (
        "slow",
        (1280, 900),
        seen::the_newest_question_ends_a_slow_one,
    ),
    ("picture", (1280, 900), |page| {
        seen::a_tapped_place_is_ringed(page);
        seen::compared_pictures_are_level(page);
        seen::labels_of_a_step_lie_apart(page, &[(768, 1024), (390, 844)]);
    }),
    ("paste", (1280, 900), seen::what_is_pasted_is_read),
];

#[test]
fn what_was_once_got_wrong_is_right_in_firefox_too() {
    let Some(browser) = firefox() else { return };
    let disk = on_disk();
    let mut page = Firefox::blank(browser, 1280, 900);
    for (name, (width, height), check) in CHECKS {
        let from = std::time::Instant::now();
        page.size(width, height);
        page.go(&disk.address);
        page.settle();
        check(&mut page);
        page.assert_quiet();
        println!("{name}: {:.1} s", from.elapsed().as_secs_f64());
    }
    let served = serving::Served::start();
    page.go(&format!("http://{}/", served.address));
    page.assert_quiet();
    drop(served);
    seen::a_server_that_is_gone_is_said(&mut page);
}
