#!/usr/bin/env bash
# Times what other libraries take for the same problems, on this machine, and
# prints it as Go prints benchmarks. One that is not installed is left out, and
# the table then says "not measured". Debian: python3-scipy, python3-opencv.
set -uo pipefail
cd "$(dirname "$0")/../.."
python=/usr/bin/python3
echo "pkg: outside"
OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 "$python" geometry/fit/bundle/testdata/scipy_fit.py 2>/dev/null |
	sed -nE 's/^dense: ([0-9]+) ms.*/BenchmarkSciPyFit 1 \1000000 ns\/op/p'
"$python" video/track/testdata/speed.py --outside 2>/dev/null
exit 0
