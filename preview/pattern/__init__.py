"""The printed pattern: the solved sheets laid out at true scale, as PDF, SVG and for a cutter."""
