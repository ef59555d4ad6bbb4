"""How large, deep and long a hand-in may be."""

from __future__ import annotations

# Limits.  A notebook of twelve parts has 30 to 60 kB and some forty cells; with
# pictures of a page of working it stays below these.
MOST_BYTES = 5_000_000
MOST_CELLS = 2_000
MOST_BRACKETS = 100_000
MOST_COMMAS = 500_000
MOST_ANSWERS = 400
LONGEST_KEY = 7
LONGEST_SOURCE = 2_000
LONGEST_ANSWER = 200
LONGEST_WORKING = 10_000
LONGEST_LINE = 200_000
MOST_UNPACKED = 1_000_000
MOST_MEMBERS = 20_000
MOST_DIRECTORY = 8_000_000
MOST_IN_ARCHIVE = 2_000_000_000
MOST_IN_INNER = 50_000_000
MOST_RATIO = 300
MOST_GROWTH = 100  # how many times its own size a whole archive may unpack to
LEAST_UNPACKED = 20_000_000  # and so much at any rate
LONGEST_READING = 2.0  # seconds for one file
LONGEST_REPLAY = 5.0  # seconds for a dry run; one of thirty actions takes a tenth of one
LONGEST_BATCH = 120.0  # seconds, after which a worker counts as hung
DEEPEST_ARCHIVE = 2

NOTEBOOK, FILE, LINE, PAPER, UNKNOWN = "notebook", "file", "line", "paper", "unknown"
DRY_RUN = "dry run"
LINE_DEFLATED, LINE_PLAIN = "GB1.", "GB0."
