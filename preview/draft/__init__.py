"""Drafting sheets: how to draw each piece with pencil, ruler, set square and compass."""
