"""The geometry of a pop-up spread: design file, sheets, linkage, motion and solids.

Lengths are millimetres and angles radians everywhere in this package; degrees and other
units exist only in the design file, in reports and on the command line.
"""
