"""Table tops to lay a notebook on: that of a mood, cloth, wood, a mat, a plain colour."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from preview.errors import UseError

from .mood import MOODS, Mood, Pattern


@dataclass(frozen=True)
class TableTop:
    """A table top.

    Parameters
    ----------
    colour : its mean colour, sRGB, which it sends up to the paper as well.
    backdrop : what it fades into far away, sRGB.
    lies_on : whether it is a mat that lies on the table of the mood.
    """

    name: str
    title: str
    pattern: Pattern
    colour: str
    backdrop: str
    lies_on: bool = False


# Our choice: no paler than the table of daylight, so that pale paper stands out.
TABLES = {
    table.name: table
    for table in (
        TableTop("linen", "undyed linen", "linen", "#bdb19b", "#b3a893"),
        TableTop("oak", "oiled oak in staves", "oak", "#b08d64", "#a08160"),
        TableTop(
            "cutting-mat", "a green mat with squares of 10 mm", "mat", "#45625a", "#45625a", True
        ),
    )
}
# The table that a mood has by itself.
OF_MOOD = "mood"
_COLOUR = re.compile(r"#(?:[0-9a-f]{3}){1,2}", re.ASCII | re.IGNORECASE)


def known_table(text: str) -> str:
    """The name of a table or a colour, if it is one.

    Raises
    ------
    UseError
        If it is neither.
    """
    if text in (OF_MOOD, *TABLES) or _COLOUR.fullmatch(text):
        return text
    raise UseError(
        f"there is no table {text!r}; tables: {', '.join((OF_MOOD, *TABLES))}, or a colour such as "
        "#aab79c"
    )


def mood_on(mood: str, table: str = OF_MOOD) -> Mood:
    """The light of a mood on a table; see :func:`known_table`."""
    found = MOODS[mood]
    if known_table(table) == OF_MOOD:
        return found
    if table not in TABLES:
        return replace(found, table=table, backdrop=table)
    top = TABLES[table]
    return replace(
        found,
        table=top.colour,
        backdrop=found.backdrop if top.lies_on else top.backdrop,
        pattern=top.pattern,
        under=found.table if top.lies_on else "",
    )
