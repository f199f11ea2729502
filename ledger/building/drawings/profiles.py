"""Drawings to files: DXF by ezdxf, and SVG; the same drawing gives the same bytes."""

from __future__ import annotations

from io import StringIO
from xml.sax.saxutils import escape

from ledger.building.drawings.drawing import LAYERS, Drawing, Line

MARGIN = 2.0
STROKE = 0.1
CUT_COLOUR, MEASURE_COLOUR = 7, 8
DXF_VERSION = "R2000"
PART = 'class="wl-drawing"'


def to_dxf(drawing: Drawing) -> bytes:
    """Return a drawing as DXF R2000 (AC1015), in mm: `$INSUNITS` 4, `$MEASUREMENT` 1, one layer for each of ours.

    Lines are LWPOLYLINE, circles CIRCLE; the view opens on the whole. Layers that are not cut are grey and set not to
    be plotted. ezdxf writes the time and fresh identifiers into the header (`$TDCREATE`, `$TDUPDATE`, `$VERSIONGUID`,
    `$FINGERPRINTGUID`) and its own mark; its option `write_fixed_meta_data_for_testing` fixes all of them, and is set
    back afterwards.
    """
    # ezdxf takes a third of a second to import and looks for fonts; only who wants a DXF pays for it.
    import ezdxf

    kept = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        document = ezdxf.new(DXF_VERSION, units=ezdxf.units.MM)
        for layer in drawing.layers:
            made = document.layers.add(layer, color=CUT_COLOUR if LAYERS[layer] else MEASURE_COLOUR)
            made.dxf.plot = int(LAYERS[layer])
        space = document.modelspace()
        for line in drawing.lines:
            space.add_lwpolyline(line.points, close=line.closed, dxfattribs={"layer": line.layer})
        for one in drawing.circles:
            space.add_circle((one.x, one.y), one.radius, dxfattribs={"layer": one.layer})
        least_x, least_y, most_x, most_y = drawing.box
        middle = ((least_x + most_x) / 2.0, (least_y + most_y) / 2.0)
        space.reset_extents((least_x, least_y, 0.0), (most_x, most_y, 0.0))
        document.set_modelspace_vport(most_y - least_y + 2.0 * MARGIN, middle)
        written = StringIO()
        document.write(written)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = kept
    return written.getvalue().encode(document.output_encoding)


def to_svg(drawing: Drawing, described: str = "", standalone: bool = True) -> str:
    """Return a drawing as SVG, one user unit a mm, with a margin of 2 mm, y turned downwards; a group for each layer.

    Lines and circles are drawn in the colour of the text around them, 0.1 mm wide; layers that are not cut are dashed.

    described   what is to be seen, for those who do not see it; beside the title
    standalone  a file of its own, as large as what it shows. Else a part of a page, whose style sheet says how large
                it is and how the classes `wl-drawing` and `wl-drawing-LAYER` look: nothing of that is in it
    """
    least_x, least_y, most_x, most_y = drawing.box
    width, height = most_x - least_x + 2.0 * MARGIN, most_y - least_y + 2.0 * MARGIN
    corner = f"{_number(least_x - MARGIN)} {_number(-most_y - MARGIN)}"
    view = f'viewBox="{corner} {_number(width)} {_number(height)}" role="img"'
    sized = f'xmlns="http://www.w3.org/2000/svg" width="{_number(width)}mm" height="{_number(height)}mm"'
    parts = [f"<svg {sized if standalone else PART} {view}>", f"<title>{escape(drawing.title)}</title>"]
    parts += [f"<desc>{escape(described)}</desc>"] if described else []
    for layer in drawing.layers:
        dashed = "" if LAYERS[layer] else ' stroke-dasharray="1 0.5"'
        drawn = f'class="{layer}" fill="none" stroke="currentColor" stroke-width="{STROKE}"{dashed}'
        parts.append(f"<g {drawn}>" if standalone else f'<g class="wl-drawing-{layer}">')
        parts += [f'<path d="{_path(line)}"/>' for line in drawing.lines if line.layer == layer]
        parts += [
            f'<circle cx="{_number(one.x)}" cy="{_number(-one.y)}" r="{_number(one.radius)}"/>'
            for one in drawing.circles
            if one.layer == layer
        ]
        parts.append("</g>")
    return "\n".join([*parts, "</svg>", ""])


def _path(line: Line) -> str:
    return "M" + "L".join(f"{_number(x)} {_number(-y)}" for x, y in line.points) + ("Z" if line.closed else "")


def _number(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".") if abs(value) >= 5e-7 else "0"
