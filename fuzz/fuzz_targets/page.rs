#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| tautspan_fuzz::target("page")(bytes));
