"""Questions, worksheets and marking: the middle floor, on top of the calculators."""
