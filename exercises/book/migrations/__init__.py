"""How a mark book of an earlier version becomes one of today; run by markbook.py."""
