"""An invented school: its scheme, its class list, and what its class hands in."""

from pathlib import Path

FOLDER = Path(__file__).parent
