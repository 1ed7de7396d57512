"""The parts of the check's page: pictures with the offending place drawn in, and plans."""
