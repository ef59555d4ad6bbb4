"""What is asked: outcomes, parts, draws, the bank, and a lecturer's own questions."""
