"""Free paper among other paper: what it could run into, and the planes that keep them apart."""
