"""The page of the shop: what a visitor may know, and nothing of files, paths and findings."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from html import escape
from importlib.resources import files
from urllib.parse import quote, urlsplit

from preview.guide.cautions import CAUTIONS, time_in_words
from preview.pack.parts import PARTS
from preview.roles import counted

from .shop import Offer, Shop
from .store import Row

UNNAMED = "Pop-up spreads"
_MARKS = re.compile(r"\{\{(\w+)\}\}")


def as_page(
    shop: Shop, rows: Sequence[Row], titles: Mapping[str, str], places: Mapping[str, str]
) -> str:
    """The page; it needs no network and no server.

    Parameters
    ----------
    rows : of the designs on show, in the order of the shop.
    titles, places : by name of a design, what it is called and the folder its files lie in.
    """
    folder = files("preview.catalog")
    script = (folder / "shop.js").read_text("utf-8")
    style = (folder / "shop.css").read_text("utf-8")
    said = shop.said
    parts = {
        "POLICY": policy(script, style),
        "TITLE": escape(said.title or UNNAMED),
        "SAID": escape(" ".join(said.introduction.split()), quote=True),
        "STYLE": style,
        "SCRIPT": script,
        "INTRODUCTION": "".join(_paragraphs(said.introduction)),
        "CONTACT": _contact(said.contact),
        "COUNT": counted(len(rows), "spread"),
        "SIZES": "".join(options(sorted({row["page"] for row in rows if row.get("page")}))),
        "CARDS": "\n".join(
            _card(row, shop, titles[row["name"]], places[row["name"]]) for row in rows
        ),
        "CAUTION": escape(CAUTIONS[-1]),
    }
    # One pass, so that nothing a maker wrote can stand for another part.
    page = (folder / "shop.html").read_text("utf-8")
    return _MARKS.sub(lambda mark: parts[mark[1]], page)


def policy(script: str, style: str) -> str:
    """Nothing but the page's own script and style runs, whatever a title may hold."""
    own = {
        name: base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        for name, text in {"script": script, "style": style}.items()
    }
    return "; ".join(
        [
            "default-src 'none'",
            "img-src 'self' file:",
            "media-src 'self' file:",
            f"style-src 'sha256-{own['style']}'",
            f"script-src 'sha256-{own['script']}'",
            "base-uri 'none'",
            "form-action 'none'",
        ]
    )


def _paragraphs(text: str) -> Iterator[str]:
    for paragraph in re.split(r"\n\s*\n", text.strip()):
        if paragraph:
            yield f"<p>{escape(' '.join(paragraph.split()))}</p>"


def _contact(link: str) -> str:
    if not link:
        return ""
    parts = urlsplit(link)
    words = f"Write to {parts.path}" if parts.scheme == "mailto" else f"Visit {parts.hostname}"
    return f'<p class="contact">{_link(link, escape(words))}</p>'


def _link(link: str, inside: str, attributes: str = "") -> str:
    return f'<a href="{escape(link)}" rel="noopener noreferrer"{attributes}>{inside}</a>'


def options(values: Sequence[str]) -> Iterator[str]:
    """What can be chosen from a list."""
    for value in values:
        yield f'<option value="{escape(value)}">{escape(value)}</option>'


def _card(row: Row, shop: Shop, title: str, place: str) -> str:
    offer = shop.offer(row["name"])
    words = " ".join([title, offer.about, row.get("page", ""), *row.get("words", ())]).lower()
    attributes = {
        "words": " ".join(words.split()),
        "page": row.get("page", ""),
        "standing": row.get("standing_height_mm", ""),
        "pieces": row.get("pieces", ""),
        "minutes": row.get("minutes", ""),
        "hand": row.get("moved_by_hand", 0),
    }
    data = " ".join(f'data-{key}="{escape(str(value))}"' for key, value in attributes.items())
    tag = f'<p class="tag">{escape(offer.price)}</p>' if offer.price else ""
    about = f'<p class="about">{escape(" ".join(offer.about.split()))}</p>' if offer.about else ""
    film = f'aria-pressed="false" aria-label="Film of {escape(title)}"'
    shown = picture(row, escape(title), place, film)
    return (
        f'<div role="listitem" class="card" {data}><article id="{place}">'
        f'<div class="stand">{shown}{tag}</div><div class="text">'
        f"<h2>{escape(title)}</h2>{about}{_facts(row, offer)}{_ways(row, offer, title, place)}"
        f"{_more(row, offer, shop, title)}</div></article></div>"
    )


def picture(row: Row, title: str, place: str, film: str, *, empty: str = "") -> str:
    """The still of a row, which plays its film where there is one.

    Parameters
    ----------
    title, film, empty : markup: what the design is called, the other attributes of the button that
        plays the film, and what stands in place of a still.
    place : the folder of its files.
    """
    if not row.get("still"):
        return f'<div class="picture empty" aria-hidden="true">{empty}</div>'
    image = (
        f'<img src="{address(row, "still", place)}" width="1200" height="800" loading="lazy" '
        f'decoding="async" alt="{title}, open">'
    )
    file = row.get("film", "")
    if not file:
        return f'<div class="picture">{image}</div>'
    kind = "video" if file.endswith(".mp4") else "image"
    return (
        f'<button type="button" class="picture" data-film="{address(row, "film", place)}" '
        f'data-kind="{kind}" {film}>{image}<span class="play" aria-hidden="true"></span></button>'
    )


def _facts(row: Row, offer: Offer) -> str:
    """What one wants to know first, on one line."""
    if "pieces" not in row:
        return ""
    facts = [
        row["page"] if row["page"] != "own size" else _page_size(row),
        f"stands {row['standing_height_mm'] / 10:.0f} cm high",
        _time(row, offer),
    ]
    items = "".join(f"<li>{escape(fact)}</li>" for fact in facts if fact)
    return f'<ul class="facts">{items}</ul>'


def _time(row: Row, offer: Offer) -> str:
    """How long the building takes: as the maker says, else as the guide does."""
    return offer.time or (time_in_words(row["minutes"]) if "minutes" in row else "")


def _page_size(row: Row) -> str:
    return f"{row['page_width_mm']:g} × {row['page_height_mm']:g} mm"


def _ways(row: Row, offer: Offer, title: str, place: str) -> str:
    """The page to open by hand, and where to get it."""
    links = []
    if row.get("view"):
        links.append(
            f'<a class="open" href="{address(row, "view", place)}">Open it by hand'
            f'<span class="unseen">: {escape(title)}, in 3-D</span></a>'
        )
    if offer.link:
        inside = f'Get it<span class="unseen">: {escape(title)}</span>'
        links.append(_link(offer.link, inside, ' class="get"'))
    return f'<p class="ways">{" ".join(links)}</p>' if links else ""


def _more(row: Row, offer: Offer, shop: Shop, title: str) -> str:
    """Sizes, and what is in the pack."""
    figures = "".join(
        f"<dt>{name}</dt><dd>{escape(text)}</dd>" for name, text in _sizes(row, offer)
    )
    inside = f"<dl>{figures}</dl>" if figures else ""
    pack = shop.said.pack if offer.pack is None else offer.pack
    lines = [PARTS[name].title for name in dict.fromkeys(pack)] + shop.said.also + offer.also
    if lines:
        items = "".join(f"<li>{escape(line[:1].upper() + line[1:])}</li>" for line in lines)
        inside += f"<h3>In the pack</h3><ul>{items}</ul>"
    if not inside:
        return ""
    label = "Sizes and what you get" if lines else "Sizes"
    unseen = f'<span class="unseen"> of {escape(title)}</span>'
    return f"<details><summary>{label}{unseen}</summary>{inside}</details>"


def _sizes(row: Row, offer: Offer) -> Iterator[tuple[str, str]]:
    if "pieces" not in row:
        return
    named = "" if row["page"] == "own size" else f"{row['page']}, "
    yield "Each page", f"{named}{_page_size(row)}"
    yield "Shut", f"{row['closed_thickness_mm']:.1f} mm thick"
    yield "Stands", f"{row['standing_height_mm']:.0f} mm high"
    if row["opens_to_deg"] < 179.95:
        yield "Opens to", f"{row['opens_to_deg']:.1f}°"
    yield (
        "Made of",
        ", ".join(
            counted(row[key], key.removesuffix("s")) for key in ("pieces", "facets", "folds")
        ),
    )
    if row.get("moved_by_hand"):
        yield "By hand", f"{counted(row['moved_by_hand'], 'thing')} to move"
    if row.get("papers"):
        weights = sorted({paper["grammage"] for paper in row["papers"]})
        yield "Papers", f"{', '.join(f'{weight:g}' for weight in weights)} g/m²"
    if "printed_on" in row:
        yield (
            "To print",
            f"{counted(row['printed_sheets'], 'sheet')} of {row['printed_on']} for the pieces",
        )
    if _time(row, offer):
        steps = f", {counted(row['steps'], 'step')}" if "steps" in row else ""
        yield "To build", f"{_time(row, offer)}{steps}"


def address(row: Row, key: str, place: str) -> str:
    """Of a file of a row, which lies in the folder `place`."""
    # A name of bytes that are no UTF-8 is an address too.
    return quote(f"{place}/{row[key]}", errors="surrogateescape")
