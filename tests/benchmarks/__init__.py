"""Speed goals against their yardsticks: `python -m tests.benchmarks`."""

import os

# Before numpy loads: goals are stated for one core, and idle threads of the linear algebra count as processor time.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
