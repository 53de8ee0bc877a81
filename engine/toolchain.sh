#!/usr/bin/env bash
# Makes a wasm32-unknown-unknown toolchain in DIR, for engine/build.sh.
#
#     engine/toolchain.sh DIR && . DIR/env
#
# Where the machine's own Rust has the target (`rustup target add wasm32-unknown-unknown`)
# nothing is made. Otherwise, on a Debian machine: Debian's rustc-web with the sources of
# its standard library, unpacked into DIR and not installed, and the standard library built
# from them. About a minute, and 1 GB of disk.
set -euo pipefail
target=wasm32-unknown-unknown
dir=$(mkdir -p "$1" && cd "$1" && pwd)

if ls "$(rustc --print target-libdir --target $target 2>/dev/null)"/libstd-*.rlib >/dev/null 2>&1; then
    : >"$dir/env"
    echo "the machine's own Rust has $target"
    exit 0
fi
if [ -f "$dir/env" ]; then
    echo "$dir is set up"
    exit 0
fi

# The compiler, its standard library as sources, and the LLVM it is linked to.
apt-get update -qq
version=$(apt-cache policy rustc-web | awk '/Candidate:/ { print $2 }')
series=$(echo "$version" | cut -d. -f1,2)
mkdir -p "$dir/debs" "$dir/root"
cd "$dir/debs"
apt-get download -qq "rustc-web=$version" "rust-web-src=$version" \
    "libstd-rust-web-dev=$version" "libstd-rust-web-$series=$version"
llvm=$(dpkg-deb -f libstd-rust-web-"$series"_*.deb Depends | grep -o 'libllvm[0-9]*')
apt-get download -qq "$llvm" libz3-4
for deb in *.deb; do dpkg -x "$deb" "$dir/root"; done
rm -f ./*.deb

cat >"$dir/rustc" <<END
#!/bin/sh
export LD_LIBRARY_PATH=$dir/root/usr/lib/x86_64-linux-gnu\${LD_LIBRARY_PATH:+:\$LD_LIBRARY_PATH}
exec $dir/root/usr/bin/rustc "\$@"
END
chmod +x "$dir/rustc"

# The linker is the one that came with the machine's Rust.
lld=$(rustc --print sysroot)/lib/rustlib/x86_64-unknown-linux-gnu/bin/rust-lld
[ -x "$lld" ] || { echo "no rust-lld beside the machine's rustc" >&2; exit 1; }

# The standard library, with bitcode in it, since the engine is built with LTO, and
# without paths of this machine.
remap="--remap-path-prefix=$dir=rust"
for host in "${CARGO_HOME:-$HOME/.cargo}"/registry/src/*; do
    remap="$remap --remap-path-prefix=$host=crates"
done
mkdir -p "$dir/std/src"
: >"$dir/std/src/lib.rs"
cat >"$dir/std/Cargo.toml" <<END
[package]
name = "std-for-the-engine"
version = "0.0.0"
edition = "2021"
[workspace]
[profile.release]
opt-level = "s"
codegen-units = 1
END
cd "$dir/std"
RUSTC="$dir/rustc" RUSTC_BOOTSTRAP=1 RUSTFLAGS="-Cembed-bitcode=yes $remap" \
    cargo build -q --release --target $target -Zbuild-std=std,panic_abort --target-dir built
libs="$dir/root/usr/lib/rustlib/$target/lib"
mkdir -p "$libs"
cp "built/$target/release/deps/"*.rlib "$libs"
rm -rf "$libs"/libstd_for_the_engine-* built
printf 'export RUSTC=%s CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER=%s\n' "$dir/rustc" "$lld" >"$dir/env"
echo "made in $dir"
