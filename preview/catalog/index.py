"""What the maker or her scripts read of a catalog: a private page, a JSON file and a table."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from html import escape
from importlib.resources import files

from preview.schemas import marked

from .front import address, options, picture, policy
from .store import Row

COLUMNS = (
    "name",
    "title",
    "status",
    "page",
    "page_width_mm",
    "page_height_mm",
    "closed_thickness_mm",
    "standing_height_mm",
    "opens_to_deg",
    "pieces",
    "sheets",
    "facets",
    "folds",
    "reasons",
)
LABELS = {
    "passes": "passes",
    "problems": "has problems",
    "broken": "can't be read",
    "crashed": "not finished",
}


def as_json(rows: Sequence[Row]) -> str:
    """All rows below the name and version of their schema; sorted keys, ending in a line feed."""
    return json.dumps(marked("catalog", {"designs": list(rows)}), sort_keys=True, indent=1) + "\n"


def as_csv(rows: Sequence[Row]) -> str:
    """One line for each design (RFC 4180); several reasons are joined by `` | ``."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for row in rows:
        cells = [row.get(column, "") for column in COLUMNS[:-1]]
        writer.writerow([_harmless(cell) for cell in [*cells, " | ".join(row["reasons"])]])
    return text.getvalue()


def _harmless(cell: object) -> object:
    """Keep a spreadsheet from running a title that looks like a formula."""
    starts = isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@", "\t", "\r")
    return f"'{cell}" if starts else cell


def as_page(title: str, rows: Sequence[Row], in_shop: Mapping[str, str] | None = None) -> str:
    """The maker's own page with all designs, their files and what is wrong with them.

    It needs no network and no server.

    Parameters
    ----------
    in_shop : by name of each design that is in the shop, what it is called there.
    """
    in_shop = in_shop or {}
    folder = files("preview.catalog")
    page = (folder / "private.html").read_text("utf-8")
    good = sum(row["status"] == "passes" for row in rows)
    script = (folder / "private.js").read_text("utf-8")
    style = (folder / "private.css").read_text("utf-8")
    parts = {
        "TITLE": escape(title),
        "POLICY": policy(script, style),
        "STYLE": style,
        "SCRIPT": script,
        "COUNT": f"{len(rows):,} {'design' if len(rows) == 1 else 'designs'}, {good:,} pass",
        "SIZES": "".join(options(sorted({row["page"] for row in rows if row.get("page")}))),
        "CARDS": "\n".join(_card(row, in_shop.get(row["name"])) for row in rows),
    }
    for name, text in parts.items():
        page = page.replace(f"<!--{name}-->", text)
    return page


def _card(row: Row, called: str | None) -> str:
    words = " ".join([row["name"], row["title"], *row["reasons"], *row.get("words", ())]).lower()
    attributes = {
        "words": words,
        "status": row["status"],
        "page": row.get("page", ""),
        "standing": row.get("standing_height_mm", ""),
        "pieces": row.get("pieces", ""),
        "name": row["name"].lower(),
    }
    data = " ".join(f'data-{key}="{escape(str(value))}"' for key, value in attributes.items())
    return (
        f'<div role="listitem" class="card" {data}><article>{_picture(row)}<div class="text">'
        f"<h2>{escape(row['title'] or row['name'])}</h2>"
        f'<p class="name">{escape(row["name"])}</p>'
        f'<p class="badge {row["status"]}">{LABELS[row["status"]]}</p>'
        f'<p class="name">{_where(row, called)}</p>'
        f"{_figures(row)}{_reasons(row)}{_links(row)}</div></article></div>"
    )


def _where(row: Row, called: str | None) -> str:
    """Whether it is in the shop, and if the shop calls it something else, what."""
    if called is None:
        return "not in the shop"
    return "in the shop" if called == row["title"] else f"in the shop as “{escape(called)}”"


def _picture(row: Row) -> str:
    title = escape(row["title"] or row["name"])
    film = f'aria-label="Play the film of {title}"'
    return picture(row, title, _place(row), film, empty="<span>no picture</span>")


def _figures(row: Row) -> str:
    if "pieces" not in row:
        return ""
    figures = {
        "Page": f"{row['page']}, {row['page_width_mm']:g} × {row['page_height_mm']:g} mm",
        "Closed": f"{row['closed_thickness_mm']:.1f} mm thick",
        "Stands": f"{row['standing_height_mm']:.0f} mm high",
        "Made of": f"{row['pieces']} pieces, {row['sheets']} sheets, {row['facets']} facets",
    }
    if row["opens_to_deg"] < 179.95:
        figures["Opens to"] = f"{row['opens_to_deg']:.1f}°"
    items = "".join(f"<dt>{key}</dt><dd>{escape(text)}</dd>" for key, text in figures.items())
    return f"<dl>{items}</dl>"


def _reasons(row: Row) -> str:
    if not row["reasons"]:
        return ""
    items = "".join(f"<li>{escape(reason)}</li>" for reason in row["reasons"])
    one = len(row["reasons"]) == 1
    label = "1 problem" if one else f"{len(row['reasons'])} problems"
    return f"<details><summary>{label}</summary><ul>{items}</ul></details>"


def _links(row: Row) -> str:
    names = {"still": "still", "film": "film", "stages": "stages", "view": "page to open"}
    links = [
        f'<a href="{address(row, key, _place(row))}">{text}</a>'
        for key, text in names.items()
        if row.get(key)
    ]
    return f'<p class="links">{" ".join(links)}</p>' if links else ""


def _place(row: Row) -> str:
    return f"items/{row['name']}"
