"""Files that the page has made: what may be wished for, a queue of two, and the process of each.

``wishes`` lists what can be chosen and turns a wish into words of the command line, ``queue`` runs
them one after the other, ``child`` is the process that does.
"""
