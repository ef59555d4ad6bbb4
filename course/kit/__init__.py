"""What lessons are written with."""
