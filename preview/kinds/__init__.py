"""A sheet for each kind of piece: how it moves, all measures, what stands on it, what fails."""
