#!/usr/bin/env bash
# Processor time and memory of the study over tolerances, by the number of sets. Asserts nothing.
#
#   tests/benchmarks/tolerance_time.sh [DESCRIPTION [SETS...]]
#
# PYTHON names the interpreter. The time of a set is the difference of two lines over the difference of their sets; the
# rest is start-up, each part by itself, and the corners.

set -euo pipefail
cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."

supply="${1:-netlists/two-el34-head.toml}"
shift || true
python="${PYTHON:-python3}"
[ -x /usr/bin/time ] || { echo "This needs GNU time: sudo apt-get install time" >&2; exit 1; }
for sets in "${@:-100}"; do
    /usr/bin/time -f "$sets sets: %e s wall, %U s user, %S s system, largest process %M kB" \
        "$python" -m psucheck tolerance "$supply" --sets "$sets" --states "idle, valves out" --csv >/dev/null || true
done
