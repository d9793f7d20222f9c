"""Demo days: cars, logs and events, all of them invented, as data of the package.

`events/*.toml` are the days, `cars/*.toml` their cars, `logs/*.csv` their recordings. No car, club, course or
place here exists, and no log was recorded: `make_logs.py` computes them and states what it assumes.
"""

from pathlib import Path

FOLDER = Path(__file__).parent
