//! The engine's border to a browser, called as the page's script calls it, under Miri: see `miri.sh`.
#![cfg(miri)]

#[path = "."]
mod page {
    pub(crate) use tautspan::page::{Catalogue, answer};

    // The border's source without its exported names, of which one is `free`.
    #[path = "../target/face.rs"]
    pub(crate) mod face;
}

use page::face::{free, furnish, reply, room};

/// Hands over a text, calls, and gives the room back.
fn handed<T>(text: &[u8], call: impl Fn(*const u8, usize) -> T) -> T {
    let at = room(text.len());
    assert!(!at.is_null());
    // SAFETY: there is room for so many bytes.
    unsafe { std::ptr::copy_nonoverlapping(text.as_ptr(), at, text.len()) };
    let done = call(at, text.len());
    free(at, text.len());
    done
}

/// The answer to a request, its room given back.
fn answer(request: &[u8]) -> String {
    let at = handed(request, |at, length| reply(at, length));
    assert!(!at.is_null());
    // SAFETY: an answer begins with its length.
    let (length, text) = unsafe {
        let head = std::slice::from_raw_parts(at, 4);
        let length = u32::from_le_bytes(head.try_into().unwrap()) as usize;
        let text = std::slice::from_raw_parts(at.add(4), length).to_vec();
        (length, text)
    };
    free(at, 4 + length);
    String::from_utf8(text).unwrap()
}

#[test]
fn the_border_keeps_to_its_memory() {
    assert!(handed(b"{}", |at, length| reply(at, length)).is_null(), "no catalogue yet");
    assert_eq!(handed(b"{", |at, length| furnish(at, length)), 0);
    let catalogue = r#"{"schema":2,"program":"p","films":[],"tools":[],"recesses":[],"cutting":[]}"#;
    assert_eq!(handed(catalogue.as_bytes(), |at, length| furnish(at, length)), 1);
    assert_eq!(handed(catalogue.as_bytes(), |at, length| furnish(at, length)), 0, "once");
    for request in [&b""[..], b"{", b"\xff\xfe", b"{\"ask\":\"chek\"}", b"{\"ask\":\"check\"}"] {
        assert!(answer(request).contains("error"));
    }
    assert!(answer(b"{\"ask\":\"catalogue\"}").contains("films"));
    let section = br#"{"ask":"section","section":{"points":"-60,0 0,0 10,-9 30,-9 40,0 100,0"}}"#;
    assert!(answer(section).contains("mouth_mm"));
    // Nothing, and more than there is.
    free(std::ptr::null_mut(), 10);
    assert!(room(usize::MAX).is_null());
}
