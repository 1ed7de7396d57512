"""The errors of asking for a preview in a way that cannot work."""

from __future__ import annotations


class UseError(Exception):
    """A wish that cannot be met as it was put; its text is one line that says what to do instead.

    The design may be fine: an unknown ending of a film's name, an engine that is missing on this
    computer, a folder where a file should be.
    """
