"""Sheets: which questions, for whom, in which form, and the mark scheme."""
