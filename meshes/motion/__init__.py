"""The one solver: a linkage and openings become poses."""
