"""What lessons are written with: results, tables, pictures, worked cases."""
