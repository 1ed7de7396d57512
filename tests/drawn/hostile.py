"""A hundred drawings that nobody should be able to hurt a reader with."""

from __future__ import annotations

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"'
SQUARE = '<path class="cut" d="M 10 10 H 90 V 90 H 10 Z"/>'


def svg(body: str, head: str = HEAD) -> bytes:
    return f"{head}>{body}</svg>".encode()


def bombs() -> dict[str, bytes]:
    entities = "".join(
        f'<!ENTITY e{k} "{f"&e{k - 1};" * 10 if k else "lol" * 10}">' for k in range(10)
    )
    uses = '<path id="u0" class="cut" d="M 0 0 H 9 V 9 Z"/>'
    for k in range(7):
        once = f'<use href="#u{k}"/>'
        uses += f'<g id="u{k + 1}">{once * 10}</g>'
    return {
        "billion laughs": f'<?xml version="1.0"?><!DOCTYPE svg [{entities}]>'.encode()
        + svg(f"<text>&e9;</text>{SQUARE}"),
        "quadratic entity": (
            f'<!DOCTYPE svg [<!ENTITY a "{"x" * 50_000}">]>'.encode() + svg("&a;" * 5000)
        ),
        "external entity": b'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]>'
        + svg("<text>&x;</text>"),
        "external dtd": b'<!DOCTYPE svg SYSTEM "http://127.0.0.1:9/x.dtd">' + svg(SQUARE),
        "parameter entity": b'<!DOCTYPE svg [<!ENTITY % p SYSTEM "http://127.0.0.1:9/p"> %p;]>'
        + svg(SQUARE),
        "public doctype": b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "svg11.dtd">'
        + svg(SQUARE),
        "unknown entity": svg("<text>&nope;</text>"),
        "nested use": svg(uses + '<use href="#u7"/>'),
        "use of itself": svg('<g id="a"><use href="#a"/></g>'),
        "use in a ring": svg('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'),
        "use of the root": svg('<use href="#r"/>', HEAD + ' id="r"'),
        "use of another file": svg('<use href="other.svg#a"/>'),
        "use over http": svg('<use href="http://127.0.0.1:9/a.svg#a"/>'),
        "use of data": svg('<use href="data:image/svg+xml;base64,AAAA"/>'),
        "use of nothing": svg('<use href="#missing"/>'),
        "use without target": svg("<use/>"),
        "many uses": svg('<path id="p" d="M0 0 H1"/>' + '<use href="#p"/>' * 5000),
        "symbol": svg('<symbol id="s"><path class="cut" d="M0 0H9V9Z"/></symbol><use href="#s"/>'),
        "deep": svg("<g>" * 5000 + "</g>" * 5000),
        "many elements": svg("<g/>" * 50_000),
        "many attributes": svg("<g " + " ".join(f'a{k}="1"' for k in range(50_000)) + "/>"),
        "too many bytes": svg(" " * 5_100_000),
        "million points": svg('<path class="cut" d="M' + "1 1 " * 1_000_000 + 'Z"/>'),
        "million points in parts": svg(('<path class="cut" d="M' + "1 1 " * 15_000 + 'Z"/>') * 70),
        "million polygon points": svg('<polygon class="cut" points="' + "1 1 " * 900_000 + '"/>'),
        "svg in svg": svg(f"<svg>{SQUARE}</svg>"),
    }


def not_svg() -> dict[str, bytes]:
    return {
        "empty": b"",
        "one byte": b"<",
        "text": b"cut valley mountain",
        "binary": bytes(range(256)) * 40,
        "nul bytes": b"\0" * 1000,
        "png": b"\x89PNG\r\n\x1a\n" + b"\0" * 100,
        "html": b"<html><body>hello</body></html>",
        "unclosed": HEAD.encode() + b"><g>",
        "wrong close": HEAD.encode() + b"><g></h></svg>",
        "two roots": svg(SQUARE) + svg(SQUARE),
        "utf-16 lie": b'<?xml version="1.0" encoding="UTF-16"?>' + svg(SQUARE),
        "unknown encoding": b'<?xml version="1.0" encoding="x-none"?>' + svg(SQUARE),
        "bad utf-8": HEAD.encode() + b"><text>\xff\xfe</text></svg>",
        "control characters": svg("<text>\x01</text>"),
        "undeclared prefix": svg("<bad:g/>"),
        "double attribute": svg('<path d="M0 0" d="M1 1"/>'),
        "wrong root": b'<svg xmlns="urn:other"><path class="cut" d="M0 0H9V9Z"/></svg>',
        "nothing in it": svg(""),
        "only comments": svg("<!-- nothing -->"),
    }


def sizes() -> dict[str, bytes]:
    plain = '<svg xmlns="http://www.w3.org/2000/svg"'
    heads = {
        "no size": plain,
        "no unit": f'{plain} width="100" height="100"',
        "per cent": f'{plain} width="100%" height="100%" viewBox="0 0 9 9"',
        "relative unit": f'{plain} width="10em" height="10em"',
        "only a width": f'{plain} width="100mm"',
        "zero size": f'{plain} width="0mm" height="0mm"',
        "negative size": f'{plain} width="-10mm" height="10mm"',
        "infinite size": f'{plain} width="1e999mm" height="10mm"',
        "nan size": f'{plain} width="nanmm" height="10mm"',
        "empty view": f'{plain} width="10mm" height="10mm" viewBox="0 0 0 0"',
        "view of three": f'{plain} width="10mm" height="10mm" viewBox="0 0 10"',
        "view of words": f'{plain} width="10mm" height="10mm" viewBox="a b c d"',
        "infinite view": f'{plain} width="10mm" height="10mm" viewBox="0 0 inf 10"',
        "stretched": f'{plain} width="10mm" height="30mm" viewBox="0 0 10 10" '
        'preserveAspectRatio="none"',
        "huge scale": f'{plain} width="100000mm" height="100000mm" viewBox="0 0 1 1"',
    }
    return {name: svg(SQUARE, head) for name, head in heads.items()}


def shapes() -> dict[str, bytes]:
    paths = {
        "path of words": "hello",
        "path without M": "L 1 1 2 2 Z",
        "path with nan": "M 0 0 L nan 3 Z",
        "path with infinity": "M 0 0 L 1e999 3 L 2 2 Z",
        "path beyond measure": "M 0 0 L 1e8 0 L 1e8 1e8 Z",
        "path that breaks off": "M 0 0 L 5",
        "curve that breaks off": "M 0 0 C 1 1 2 2",
        "arc that breaks off": "M 0 0 A 5 5 0 0",
        "empty command": "M 0 0 L Z",
        "number after Z": "M 0 0 H 9 V 9 Z 5 5",
        "hexadecimal": "M 0x0 0 L 5 5",
        "script in a path": "M 0 0;alert(1)",
        "single point": "M 5 5 Z",
        "line for an outline": "M 5 5 L 50 50",
        "crossing outline": "M 10 10 L 90 90 L 90 10 L 10 90 Z",
        "tiny outline": "M 0 0 H 0.1 V 0.1 Z",
        "flat outline": "M 0 0 L 50 0 L 0 0 Z",
        "open outline": "M 10 10 H 90 V 90",
        "endless curve": "M 0 0 C 1e8 1e8 -1e8 1e8 10 10 Z",
    }
    found = {name: svg(f'<path class="cut" d="{d}"/>') for name, d in paths.items()}
    elements = {
        "rect without size": '<rect class="cut"/>',
        "negative rect": '<rect class="cut" width="-5" height="5"/>',
        "rect in words": '<rect class="cut" width="wide" height="5"/>',
        "rect in per cent": '<rect class="cut" width="50%" height="50%"/>',
        "rect with infinity": '<rect class="cut" width="1e999" height="5"/>',
        "circle without radius": '<circle class="cut" cx="5" cy="5"/>',
        "negative circle": '<circle class="cut" r="-5"/>',
        "flat ellipse": '<ellipse class="cut" rx="5" ry="0"/>',
        "odd polygon": '<polygon class="cut" points="0 0 5 5 5"/>',
        "polygon of words": '<polygon class="cut" points="a,b c,d"/>',
        "polygon of one point": '<polygon class="cut" points="1,1"/>',
        "empty polygon": '<polygon class="cut" points=""/>',
    }
    return found | {name: svg(body) for name, body in elements.items()}


def transforms() -> dict[str, bytes]:
    found = {
        "transform of words": "spin(3)",
        "matrix of five": "matrix(1 0 0 1 0)",
        "rotate of two": "rotate(3 4)",
        "unit in a transform": "translate(10mm 5)",
        "nan transform": "translate(nan)",
        "infinite scale": "scale(1e999)",
        "scale to nothing": "scale(0)",
        "huge scale step": "scale(1e7)",
        "unclosed transform": "translate(3",
        "tangent of a right angle": "skewX(90)",
    }
    return {name: svg(f'<g transform="{text}">{SQUARE}</g>') for name, text in found.items()}


def meanings() -> dict[str, bytes]:
    bodies = {
        "no roles": '<path d="M 10 10 H 90 V 90 H 10 Z"/>',
        "hidden": f'<g style="display:none">{SQUARE}</g>',
        "only folds": '<path class="valley" d="M 10 10 H 90"/>',
        "fold off the sheet": SQUARE + '<path class="valley" d="M 95 0 V 100"/>',
        "fold that stops": SQUARE + '<path class="valley" d="M 50 10 V 50"/>',
        "bent fold": SQUARE + '<path class="valley" d="M 50 10 L 60 50 L 50 90"/>',
        "closed fold": SQUARE + '<rect class="valley" x="20" y="20" width="9" height="9"/>',
        "fold of no length": SQUARE + '<path class="valley" d="M 50 50 L 50 50"/>',
        "two folds of one name": SQUARE
        + '<path class="valley" data-name="a" d="M 40 10 V 90"/>'
        + '<path class="valley" data-name="a" d="M 60 10 V 90"/>',
        "glue without a letter": SQUARE + '<path class="glue" d="M 20 20 h 9 v 9 z"/>',
        "glue off the sheet": SQUARE + '<path class="glue" id="glue-A" d="M -9 -9 h 5 v 5 z"/>',
        "open glue": SQUARE + '<path class="glue" id="glue-A" d="M 20 20 h 9"/>',
        "glue across a fold": SQUARE
        + '<path class="valley" d="M 50 10 V 90"/>'
        + '<path class="glue" id="glue-A" d="M 45 20 h 10 v 9 h -10 z"/>',
        "slit that cuts in two": SQUARE + '<path class="slit" d="M 50 5 V 95"/>',
        "hole that cuts in two": SQUARE + '<path class="cut" d="M 50 20 V 50"/>',
        "label of two facets": SQUARE + '<circle class="name" data-name="a" cx="1" cy="1" r="1"/>',
        "wrong rest": SQUARE + '<path class="valley" data-rest-deg="900" d="M 50 10 V 90"/>',
        "wrong stiffness": SQUARE + '<path class="valley" data-stiffness="x" d="M 50 10 V 90"/>',
    }
    return {name: svg(body) for name, body in bodies.items()}


ALL = bombs() | not_svg() | sizes() | shapes() | transforms() | meanings()
