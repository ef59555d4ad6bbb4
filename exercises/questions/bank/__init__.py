"""The questions, a file a module; each file reads top to bottom on its own."""
