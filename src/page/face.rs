//! The engine's face to a browser: three functions over bytes, and no generated glue.
//!
//! First of all a caller furnishes the engine with its catalogue. It takes room for its request with `room`, writes UTF-8 into it and calls `reply`, which returns the address of the answer: its length as four bytes, least
//! first, then its UTF-8. `free` gives both back.

#![expect(
    unsafe_code,
    reason = "a WebAssembly caller can hand over bytes as addresses only; this file is the whole of that border"
)]

use super::Catalogue;
use std::alloc::{Layout, alloc, dealloc};
use std::sync::OnceLock;

/// What the engine was furnished with.
static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();

/// Bytes before an answer that hold its length.
const HEAD: usize = 4;

/// Room for `length` bytes; null if there is none.
#[unsafe(no_mangle)]
extern "C" fn room(length: usize) -> *mut u8 {
    match Layout::from_size_align(length.max(1), 4) {
        // SAFETY: the layout has a size of at least one byte.
        Ok(layout) => unsafe { alloc(layout) },
        Err(_) => std::ptr::null_mut(),
    }
}

/// Gives back what `room` gave for that length, or an answer with its head.
#[unsafe(no_mangle)]
extern "C" fn free(at: *mut u8, length: usize) {
    if let (false, Ok(layout)) = (at.is_null(), Layout::from_size_align(length.max(1), 4)) {
        // SAFETY: the caller hands back an address of `room` with the length it asked for.
        unsafe { dealloc(at, layout) };
    }
}

/// The bytes a caller handed over.
///
/// # Safety
/// The caller took `length` bytes by `room`, filled them and does not touch them.
unsafe fn handed<'a>(at: *const u8, length: usize) -> &'a [u8] {
    // SAFETY: as the caller promises.
    unsafe { std::slice::from_raw_parts(at, length) }
}

/// Furnishes the engine with the catalogue (JSON) in `length` bytes at `at`; 1 if it could
/// be read.
#[unsafe(no_mangle)]
extern "C" fn furnish(at: *const u8, length: usize) -> u32 {
    // SAFETY: the script hands over what it took by `room`.
    let text = String::from_utf8_lossy(unsafe { handed(at, length) });
    let read = serde_json::from_str(&text);
    u32::from(read.is_ok_and(|catalogue| CATALOGUE.set(catalogue).is_ok()))
}

/// Answers the request in `length` bytes at `at`; null if there is no room or
/// no catalogue.
#[unsafe(no_mangle)]
extern "C" fn reply(at: *const u8, length: usize) -> *mut u8 {
    let Some(catalogue) = CATALOGUE.get() else {
        return std::ptr::null_mut();
    };
    // SAFETY: the script hands over what it took by `room`.
    let request = String::from_utf8_lossy(unsafe { handed(at, length) });
    let answer = super::answer(catalogue, &request);
    let to = room(HEAD + answer.len());
    if !to.is_null() {
        let head = u32::try_from(answer.len()).unwrap_or(0).to_le_bytes();
        // SAFETY: `to` has room for the head and the answer, and is new.
        unsafe {
            std::ptr::copy_nonoverlapping(head.as_ptr(), to, HEAD);
            std::ptr::copy_nonoverlapping(answer.as_ptr(), to.add(HEAD), answer.len());
        }
    }
    to
}
