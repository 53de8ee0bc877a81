#!/usr/bin/env bash
# Every property with many cases and ten fresh seeds, and the random sections of the landmarks
# with the same seeds; the gate asks for one (TAUTSPAN_FRESH). Old failures, in
# tests/library/*.regressions, are tried first; new ones are added there. Prints each seed and
# exits with 1 if any run failed, after all have run.
#
# To run a seed again: TAUTSPAN_SEEDS="1234" tests/deep.sh
# TAUTSPAN_CASES asks for another number of cases a property, TAUTSPAN_TESTS for some of the
# files of tests/library.
set -euo pipefail
cd "$(dirname "$0")/.."

cases=${TAUTSPAN_CASES:-4000}
seeds=${TAUTSPAN_SEEDS:-$(od -An -N$((4 * ${TAUTSPAN_FRESH:-10})) -tu4 -w4 /dev/urandom)}

read -ra files <<<"${TAUTSPAN_TESTS:-properties march_properties landmarks landmarks_stay}"
run() { cargo test --locked --quiet --test=library "$@"; }
run --no-run
failed=0
for seed in $seeds; do
    echo "== seed $seed, $cases cases a property"
    TAUTSPAN_SEED=$seed TAUTSPAN_CASES=$cases run -- "${files[@]/%/::}" || failed=1
done
# Scans are dear: once, with the last of the seeds. TAUTSPAN_SCANS=50 is the whole table.
scans=${TAUTSPAN_SCANS:-5}
echo "== seed $seed, $scans scans a cell"
TAUTSPAN_SEED=$seed TAUTSPAN_CASES=$scans run -- noise:: || failed=1
# Ends are dear too, a fifth of a second each.
TAUTSPAN_SEED=$seed TAUTSPAN_CASES=${TAUTSPAN_ENDS:-200} run -- ends::random || failed=1
if [ $failed -ne 0 ]; then
    echo "failed; the seeds were:" $seeds >&2
fi
exit $failed
