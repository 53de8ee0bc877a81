#!/usr/bin/env bash
# Builds the page's engine: the core as WebAssembly.
#
#     engine/build.sh          src/page/engine.wasm.gz, and src/page/engine.sources beside
#                              it: the hash of the sources it was made from
#     engine/build.sh FILE     the engine alone, into FILE (compressed too)
#
# Run it after every change of the core and commit both files; tests/program/page.rs fails until
# that is done. The toolchain is made where needed (engine/toolchain.sh), in
# target/engine-toolchain or where TAUTSPAN_ENGINE_TOOLCHAIN says.
set -euo pipefail
cd "$(dirname "$0")/.."
out=${1:-src/page/engine.wasm.gz}
toolchain=${TAUTSPAN_ENGINE_TOOLCHAIN:-target/engine-toolchain}
most=450000

# What the engine is made of: the core and its catalogue. tests/program/page.rs lists the same.
sources() {
    {
        find src profiles -type f \
            ! -name '*.md' ! -name '*.png' ! -name '*.txt' ! -name '*.py' ! -name '*.ttf' ! -name '*.woff2' \
            ! -path 'profiles/jobs/*' ! -path 'src/main.rs' ! -path 'src/cli/*' ! -path 'src/figure/*' ! -path 'src/page/*'
        ls src/page/{mod,ask,catalogue,engine,face,laying,reading}.rs
        ls src/figure/{mod,canvas,inline,paper,place,reading,reading_words,residual,sight,view}.rs
    } | LC_ALL=C sort
}
hash=$(sources | xargs sha256sum | sha256sum | cut -d' ' -f1)

engine/toolchain.sh "$toolchain" >&2
. "$toolchain/env"
# No path of the machine that builds it may stay in it.
remap="--remap-path-prefix=$PWD=. --remap-path-prefix=$(cd "$toolchain" && pwd)=rust"
for host in "${CARGO_HOME:-$HOME/.cargo}"/registry/src/*; do
    remap="$remap --remap-path-prefix=$host=crates"
done
CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS="$remap" \
    cargo rustc -q --profile engine --target wasm32-unknown-unknown --target-dir target/engine \
    --locked --no-default-features --lib --crate-type cdylib
built=target/engine/wasm32-unknown-unknown/engine/tautspan.wasm

if grep -aqF -e "$HOME/." -e "$PWD" -e "$(cd "$toolchain" && pwd)" -e crates.io "$built"; then
    echo "the engine names a path of this machine" >&2
    exit 1
fi
# Made smaller, and compressed as the browser unpacks it, without name and date: the same bytes
# each time.
{ command -v wasm-opt && command -v zopfli; } >/dev/null || apt-get install -y -qq binaryen zopfli >&2
wasm-opt --enable-bulk-memory --enable-mutable-globals --enable-nontrapping-float-to-int \
    --enable-sign-ext -O2 "$built" -o "$built.small"
zopfli -c "$built.small" >"$out"
size=$(wc -c <"$out")
if [ "$size" -gt $most ]; then
    echo "the engine has $size bytes, more than $most" >&2
    exit 1
fi
[ $# -gt 0 ] || echo "$hash" >src/page/engine.sources
echo "$out: $size bytes ($(wc -c <"$built.small") unpacked), sources $hash"
