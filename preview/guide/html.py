"""The guide as one HTML file that needs nothing else: pictures inside, no scripts."""

from __future__ import annotations

import base64
from html import escape

import numpy as np

from .cautions import CAUTIONS, TOOLS
from .pdf import jpeg
from .plan import Guide, GuideStep

_STYLE = """
:root { color-scheme: light; --ink: #26231f; --soft: #6d665d; --line: #e4ddd1; --paper: #fbf9f5; }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink);
  font: 1rem/1.55 "Source Sans 3", "Source Sans Pro", system-ui, sans-serif; }
main { max-width: 68rem; margin: 0 auto; padding: 2rem 1.25rem 5rem; }
img { display: block; width: 100%; height: auto; border-radius: .5rem; }
h1 { font-size: clamp(2rem, 5vw, 3.2rem); line-height: 1.1; margin: 2rem 0 .4rem; }
h2 { font-size: 1.15rem; margin: 0 0 .6rem; }
.lead { color: var(--soft); font-size: 1.15rem; margin: 0 0 2.5rem; }
.need { display: grid; grid-template-columns: repeat(auto-fit, minmax(17rem, 1fr)); gap: 2.5rem;
  border-top: 1px solid var(--line); padding-top: 2rem; }
.need ul { list-style: none; margin: 0; padding: 0; }
.need li { margin: 0 0 .6rem; }
.chip { display: inline-block; width: .9em; height: .9em; border-radius: 50%; margin-right: .5em;
  border: 1px solid #0002; vertical-align: -.08em; }
ol.steps { list-style: none; margin: 4rem 0 0; padding: 0; display: grid; gap: 3.5rem 2.5rem;
  grid-template-columns: repeat(auto-fit, minmax(19rem, 1fr)); }
.steps h3 { display: flex; gap: .7rem; align-items: baseline; margin: 1rem 0 .4rem;
  font-size: 1.2rem; line-height: 1.25; }
.steps h3 span { font-size: 1.7rem; color: var(--soft); min-width: 1.2ch; }
.steps p { margin: 0 0 .5rem; }
@media print { body { background: none; } .steps li { break-inside: avoid; } }
"""


def write_guide(guide: Guide) -> str:
    """The HTML of a guide."""
    title = escape(guide.title)
    lead = f"{guide.cut_outs} cut-outs, {len(guide.steps)} steps, {guide.time}"
    steps = "\n".join(map(_step, guide.steps))
    needs = _materials(guide) + _list("Tools", TOOLS) + _list("Take care", CAUTIONS)
    return f"""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}: building guide</title>
<style>{_STYLE}</style>
</head>
<body>
<main>
{_picture(guide.cover, f"{guide.title}, finished and open")}
<h1>{title}</h1>
<p class="lead">{escape(lead)}</p>
<div class="need">{needs}</div>
<ol class="steps">
{steps}
</ol>
</main>
</body>
</html>
"""


def _picture(picture: np.ndarray, words: str) -> str:
    data = base64.b64encode(jpeg(picture)).decode()
    rows, columns = picture.shape[:2]
    return (
        f'<img src="data:image/jpeg;base64,{data}" width="{columns}" height="{rows}" '
        f'alt="{escape(words)}">'
    )


def _step(step: GuideStep) -> str:
    text = "".join(f"<p>{escape(sentence)}</p>" for sentence in step.words.sentences)
    picture = _picture(step.picture, f"Step {step.number}: {step.words.title}")
    title = escape(step.words.title)
    return f"<li>{picture}<h3><span>{step.number}</span>{title}</h3>{text}</li>"


def _materials(guide: Guide) -> str:
    rows = []
    for item in guide.materials:
        chips = "".join(
            f'<span class="chip" style="background:{colour}"></span>' for colour in item.colours
        )
        chips = f"<br>{chips}" if chips else ""
        rows.append(f"<li><b>{escape(item.name)}</b>: {escape(item.detail)}{chips}</li>")
    return f"<section><h2>You need</h2><ul>{''.join(rows)}</ul></section>"


def _list(heading: str, items: tuple[str, ...]) -> str:
    rows = "".join(f"<li>{escape(item)}</li>" for item in items)
    return f"<section><h2>{heading}</h2><ul>{rows}</ul></section>"
