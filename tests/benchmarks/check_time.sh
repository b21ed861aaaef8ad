#!/usr/bin/env bash
# How long a whole check takes and how much memory, start-up included. Asserts nothing.
#
#   tests/benchmarks/check_time.sh [RUNS] [DESCRIPTION]
#
# PYTHON names the interpreter; without it the virtual environment of the set-up, else python3.

set -euo pipefail
cd -- "$(dirname -- "${BASH_SOURCE[0]}")/../.."

runs="${1:-5}"
supply="${2:-netlists/rebuilt-valve-supply.toml}"
python="${PYTHON:-}"
if [ -z "$python" ]; then
    python=python3
    if [ -x .venv/bin/python ]; then python=.venv/bin/python; fi
fi
if [ ! -x /usr/bin/time ]; then
    echo "This needs GNU time: sudo apt-get install time" >&2
    exit 1
fi

measured="$(mktemp)"
trap 'rm -f -- "$measured"' EXIT

printf '%s, %s cores\n' "$supply" "$(getconf _NPROCESSORS_ONLN)"
printf '%-6s%10s%10s%10s%12s%8s\n' run 'wall s' 'user s' 'system s' 'largest MB' status
for run in $(seq 0 "$runs"); do
    # The largest of the processes: a worker, or the one that was started.
    status=0
    /usr/bin/time -v -o "$measured" "$python" -m psucheck check "$supply" >/dev/null || status=$?
    # The first run compiles and fills the disk's cache.
    if [ "$run" -eq 0 ]; then continue; fi
    awk -v run="$run" -v status="$status" '
        /User time/ { user = $NF }
        /System time/ { kernel = $NF }
        /Elapsed/ { n = split($NF, part, ":"); wall = part[n] + 60 * part[n - 1] }
        /Maximum resident/ { memory = $NF / 1024 }
        END { printf "%-6s%10.2f%10.2f%10.2f%12.0f%8s\n", run, wall, user, kernel, memory, status }
    ' "$measured"
done
