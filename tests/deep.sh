#!/usr/bin/env bash
# Every property with many cases and ten fresh seeds, and the random sections of the landmarks
# with the same seeds. Old failures, in tests/*.regressions, are tried first; new ones are
# added there. Prints each seed and exits with 1 if any run failed, after all have run.
#
# To run a seed again: TAUTSPAN_SEEDS="1234" tests/deep.sh
# TAUTSPAN_CASES and TAUTSPAN_MARCH_CASES ask for other numbers of cases a property.
set -euo pipefail
cd "$(dirname "$0")/.."

cases=${TAUTSPAN_CASES:-4000}
# The march takes some fifty times as long a case.
march_cases=${TAUTSPAN_MARCH_CASES:-400}
seeds=${TAUTSPAN_SEEDS:-$(od -An -N40 -tu4 -w4 /dev/urandom)}

tests=(--test properties --test march_properties --test landmarks)
cargo test --release --locked --quiet --no-run "${tests[@]}"
failed=0
run() { # seed, cases, test
    echo "-- seed $1, $3 at $2 cases"
    TAUTSPAN_SEED=$1 TAUTSPAN_CASES=$2 \
        cargo test --release --locked --quiet --test "$3" || failed=1
}
for seed in $seeds; do
    run "$seed" "$cases" properties
    run "$seed" "$march_cases" march_properties
    run "$seed" 2000 landmarks
done
if [ $failed -ne 0 ]; then
    echo "failed; seeds were: $(echo $seeds)" >&2
fi
exit $failed
