"""Everything that goes with a design that is sold or given away, in one folder and one archive."""
