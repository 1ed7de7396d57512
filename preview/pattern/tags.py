"""Tags of a PDF: what its marked content is, for those who have a page read to them.

The library that draws the pages tags pictures only, so structure elements (ISO 32000-1, 14.7 and
14.8) are written here: a section for each page, headings and paragraphs in it, all in the order in
which they are drawn. Lines, fills and pictures are artifacts: a pattern's words say what they are.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from .drawing import Mark, Text

if TYPE_CHECKING:
    from pikepdf import Object, Pdf

# A text of this size or more is a heading. Our choice: headings of the opening page and titles.
_HEADING_MM, _SECOND_MM = 8.0, 3.9


@dataclass
class Tags:
    """Collects the tags of a document while its pages are drawn."""

    pages: list[list[str]] = field(default_factory=list)

    def page(self) -> None:
        """A new page begins."""
        self.pages.append([])

    def begin(self, mark: Mark) -> str:
        """The operator that begins the marked content of a mark."""
        if not isinstance(mark, Text):
            return "/Artifact BMC"
        kind = "P"
        if mark.bold and mark.size >= _SECOND_MM and len(mark.text) > 2:
            kind = "H1" if mark.size >= _HEADING_MM else "H2"
        self.pages[-1].append(kind)
        return f"/{kind} <</MCID {len(self.pages[-1]) - 1}>> BDC"

    def write(self, pdf: Pdf) -> None:
        """Write the structure tree into a document whose content carries these tags."""
        from pikepdf import Array, Dictionary, Name

        root = pdf.make_indirect(Dictionary(Type=Name.StructTreeRoot))
        whole = pdf.make_indirect(Dictionary(Type=Name.StructElem, S=Name.Document, P=root))
        parents: list[Object | int] = []
        sections = []
        for number, (page, kinds) in enumerate(zip(pdf.pages, self.pages, strict=True)):
            section = pdf.make_indirect(Dictionary(Type=Name.StructElem, S=Name.Sect, P=whole))
            own = [
                pdf.make_indirect(
                    Dictionary(
                        Type=Name.StructElem, S=Name(f"/{kind}"), P=section, Pg=page.obj, K=mcid
                    )
                )
                for mcid, kind in enumerate(kinds)
            ]
            section.K = Array(own)
            page.StructParents = number
            page.Tabs = Name.S
            parents += [number, pdf.make_indirect(Array(own))]
            sections.append(section)
        whole.K = Array(sections)
        root.K = Array([whole])
        root.ParentTree = pdf.make_indirect(Dictionary(Nums=Array(parents)))
        root.ParentTreeNextKey = len(sections)
        pdf.Root.StructTreeRoot = root
        pdf.Root.MarkInfo = Dictionary(Marked=True)
