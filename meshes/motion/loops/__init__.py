"""Loops of folded paper: what is solved together, a first pose, and the opening."""
