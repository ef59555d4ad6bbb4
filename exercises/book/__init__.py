"""The mark book: what was issued, what came back, what was marked and decided."""
