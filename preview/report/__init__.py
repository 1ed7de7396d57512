"""The parts of the fit report's page: pictures with the offending place drawn in, and plans."""
