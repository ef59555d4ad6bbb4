"""One file a version of the mark book, oldest first."""
