"""TOML files that people write, with a line for each of their faults."""
