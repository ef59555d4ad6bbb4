"""The craft as data: the one method, how each cake is poured, and the plates."""
