"""Values that make a design fit: trials, wishes and the search over both."""
