"""Data of the craft: the method, the faults, the plates."""
