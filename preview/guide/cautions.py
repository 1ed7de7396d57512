"""What every guide says, whatever it builds: tools, what to take care of, how long in words."""

from __future__ import annotations

TOOLS = (
    "sharp knife or small scissors, and a cutting mat",
    "steel ruler",
    "bone folder, or an empty ballpoint pen, to score",
    "pin, to prick the landing places through",
    "tweezers for small tabs",
)
CAUTIONS = (
    "Blades: use a sharp one, cut away from your fingers along a steel ruler, and close or sheathe "
    "the knife whenever you put it down.",
    "Glue: follow its maker's instructions. Hot glue burns; spray glue wants fresh air.",
    "Small parts and blades are not for small children; local rules for what you sell apply.",
)


def time_in_words(minutes: int) -> str:
    """An estimate in minutes, from the hour on to the half hour, for a person."""
    hours, left = divmod(minutes, 60)
    if not hours:
        return f"about {left} minutes"
    half = {0: "", 30: "½"}[left]
    return f"about {hours}{half} hour{'' if hours == 1 and not half else 's'}"
