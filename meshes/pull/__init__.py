"""Pulling at the paper of a spread: which number of the design moves the held point, and how far.

Nothing here knows any kind of piece. The numbers come from the models, and what they do is seen by
building the sheets again with one of them changed a little.
"""
