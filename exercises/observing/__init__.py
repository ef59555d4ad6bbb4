"""The bench watched: rows to look for, sheets to fill in, logs, and what was seen."""
