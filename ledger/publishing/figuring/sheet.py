"""A figure whole: kind and title above, the subject, and beneath it credit, investigation and edition."""

from __future__ import annotations

from html import escape

from ledger.casebook.values import Casebook
from ledger.publishing.figuring.colours import settled, style
from ledger.publishing.figuring.lettering import text, wrapped
from ledger.publishing.figuring.subjects import Subject

WIDTH, HEIGHT = 1920.0, 1080.0
EDGE, TITLE, FOOT = 80.0, 54.0, 118.0
INVENTED = "Invented case: all of it is made up."


def sheet(casebook: Casebook, subject: Subject, size: tuple[int, int], dark: bool) -> str:
    """Return a figure as SVG of a size in pixels; the same casebook gives the same text.

    It is laid out on at least 1920 by 1080 units and scaled to the size.
    """
    unit = min(size[0] / WIDTH, size[1] / HEIGHT)
    width, height = size[0] / unit, size[1] / unit
    room = width - 2 * EDGE
    heads = wrapped(subject.title, TITLE, room, 2)
    top = 136 + 1.22 * TITLE * len(heads)
    drawn = [
        text(EDGE, 92, subject.kind, 26, "--wl-soft"),
        *(text(EDGE, 162 + 1.22 * TITLE * place, line, TITLE, serif=True) for place, line in enumerate(heads)),
        f'<g transform="translate({EDGE:.1f} {top + 40:.1f})">{subject.draw(room, height - FOOT - top - 70)}</g>',
        *_foot(casebook, subject, width, height),
    ]
    told = f"{subject.kind}. {subject.told} {subject.credit}. {_edition(casebook)}."
    return settled(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size[0]}" height="{size[1]}" '
        f'viewBox="0 0 {width:.2f} {height:.2f}" role="img" aria-labelledby="figure figure-told">'
        f'<title id="figure">{escape(subject.title)}</title><desc id="figure-told">{escape(told)}</desc>'
        f"<style>{style(dark)}</style>"
        f'<rect width="{width:.2f}" height="{height:.2f}" style="fill:var(--wl-paper)"/>'
        f'<rect width="{width:.2f}" height="10" style="fill:var(--wl-brass)"/>{"".join(drawn)}</svg>\n',
        dark,
    )


def _foot(casebook: Casebook, subject: Subject, width: float, height: float) -> list[str]:
    top = height - FOOT
    line = (
        f'<path d="M{EDGE:.1f} {top:.1f}H{width - EDGE:.1f}" style="fill:none;stroke:var(--wl-line);stroke-width:2"/>'
    )
    half = (width - 2 * EDGE) * 0.54
    credit = [
        text(EDGE, top + 36 + 28 * place, one, 22, "--wl-soft")
        for place, one in enumerate(wrapped(subject.credit, 22, half, 2))
    ]
    name = casebook.of_kind("investigation")[0].title
    right = [(name, "--wl-ink;font-weight:600"), (_edition(casebook), "--wl-soft")]
    if casebook.investigation.invented:
        right.append((INVENTED, "--wl-brass;font-weight:600"))
    told = [
        text(width - EDGE, top + 34 + 27 * place, wrapped(said, 22, width - 3 * EDGE - half, 1)[0], 22, look, "end")
        for place, (said, look) in enumerate(right)
    ]
    return [line, *credit, *told]


def _edition(casebook: Casebook) -> str:
    edition = casebook.edition
    number = f"Edition {edition.number}" if edition.number else "A state without edition number"
    return f"{number}, fingerprint {edition.fingerprint[:12]}"
