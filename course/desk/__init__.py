"""The desk: pages in which a lecturer and an assessor do the whole job, without a terminal."""
