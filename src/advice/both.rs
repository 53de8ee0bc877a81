//! Two things worked out at once, where there is a second core and threads are to be had.

use std::panic::resume_unwind;
use std::thread::{Builder, scope};

/// What both give. `beside` is worked out on another thread; on this one where none can be
/// started, as in a browser.
pub(super) fn both<A: Send, B>(beside: impl Fn() -> A + Sync, here: impl FnOnce() -> B) -> (A, B) {
    if cfg!(target_family = "wasm") {
        return (beside(), here());
    }
    scope(
        |threads| match Builder::new().spawn_scoped(threads, &beside) {
            Ok(other) => {
                let b = here();
                (other.join().unwrap_or_else(|panic| resume_unwind(panic)), b)
            }
            Err(_) => (beside(), here()),
        },
    )
}

#[cfg(test)]
mod tests {
    use super::both;

    #[test]
    fn both_are_given_each_in_its_place() {
        assert_eq!(both(|| 3, || "here"), (3, "here"));
    }

    #[test]
    #[should_panic(expected = "over there")]
    fn a_panic_beside_is_a_panic_here() {
        both(|| panic!("over there"), || ());
    }
}
