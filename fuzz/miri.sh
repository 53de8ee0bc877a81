#!/usr/bin/env bash
# Miri over the border of the page's engine (src/page/face.rs), the only unsafe code there is.
# Needs a nightly toolchain with the components miri and rust-src.
set -euo pipefail
cd "$(dirname "$0")"
mkdir -p target
sed -e '/no_mangle/d' -e 's/^extern "C" fn/pub(crate) extern "C" fn/' ../src/page/face.rs >target/face.rs
MIRIFLAGS=${MIRIFLAGS:-} cargo +nightly miri test --test face
