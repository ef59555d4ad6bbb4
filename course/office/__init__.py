"""What commands and pages do for a lecturer and an assessor, each in one function."""
