"""What runs in the reader's browser: calculator panels and practice."""
