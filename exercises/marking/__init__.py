"""Marking: what came back is read, never run, and judged by the rules on the sheet."""
