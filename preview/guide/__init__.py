"""The building guide: in which order a spread is put together, as PDF and HTML."""
