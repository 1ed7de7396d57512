"""Films: poses drawn in order, and the files they are written to."""
