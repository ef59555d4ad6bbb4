"""What is written from the mark book: letters, reports, tables, evidence, second marks."""
