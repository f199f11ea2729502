"""The casing: where end walls are bored for bearings, rails and detents, in the frame of the sheet."""

from __future__ import annotations

from typing import Any

from ledger.building.contract import (
    AS_MODEL,
    GAP,
    WALL,
    BillItem,
    Column,
    Feature,
    Made,
    Problem,
    Section,
    Sketch,
    Table,
    millimetres,
)
from ledger.building.drawings.drawing import BORE, REFERENCE, Circle, Drawing
from ledger.building.reading import middle_of, nominal, slug
from ledger.building.sections.casing.rows import (
    BOTH,
    DISC,
    SIDES,
    Body,
    beside,
    bore_rows,
    crossed,
    detent_row,
    least_wall,
    turning,
)
from ledger.building.sections.shafts.axes import FRAME, LEFT, RIGHT
from ledger.building.sections.tracks.disc import PLACED as DISC_PLACED
from ledger.building.sections.tracks.disc_place import PLACE as DISC_PLACE
from ledger.calculators.contract import Choice, Rows, Text
from ledger.mechanics.model_scale import PROCESSES

HOLES = ("H7", "H8", "G7", "F8", "E9", "D10")
WALLS, BORES = ("casing_walls",), ("casing_bores",)
STANDING = (*BORES, "centre_distance", "shaft_axes", "bearings", "fork_rails")
SIZED = (*BORES, "bearings", "fork_rail", "casing_rail_hole")
ALONG = (*WALLS, "shaft_span", "bearings")
DETENTS = ("casing_detents", "fork_rails", "fork_rail", *DISC_PLACE, *DISC_PLACED, "disc_rim")


def compute(
    casing_walls: list[dict[str, Any]],
    casing_bores: list[dict[str, Any]],
    casing_rail_hole: str,
    casing_detents: list[dict[str, Any]],
    casing_process: str,
    casing_material: str,
    axes: dict[str, tuple[float, float]] | None,
    span: Any,
    housings: tuple[dict[str, Any], ...] | None,
    rails: tuple[dict[str, Any], ...] | None,
    tongues: tuple[dict[str, Any], ...] | None,
    disc_body: dict[str, Any] | None,
    gears: tuple[Any, ...] | None,
) -> Made:
    """Return the bores of each end wall, and the detents; what is not decided yet is left out."""
    known, bars = axes or {}, rails or ()
    rows, walls, sketches, items = [], [], [], []
    features: list[Feature] = []
    problems: list[Problem] = []
    reach: dict[str, tuple[float, float]] = {}
    bodies = [*turning(gears, known)] if len(known) > 1 else []
    for wall in casing_walls:
        if span is None:
            problems.append(Problem(False, f"wall {wall['wall']}", "The span of the shafts is undecided."))
            continue
        thick = nominal(wall["thickness"], "The thickness of a wall")
        inner = 0.0 if wall["side"] == LEFT else middle_of(span)
        outer = inner - thick if wall["side"] == LEFT else inner + thick
        reach[wall["wall"]] = (inner, outer)
        walls.append({"wall": wall["wall"], "inner": inner, "outer": outer, "thickness": wall["thickness"]})
        own = bore_rows(wall, (inner, outer), housings or (), bars, casing_bores, known, casing_rail_hole)
        rows += own
        features += _walls(wall["wall"], own, thick, casing_process)
        if own:
            sketches.append(_sketch(wall["wall"], own, bodies))
        names = sketches[-1].name if own else ""
        items.append(BillItem(f"end wall, {wall['wall']}", 1, casing_material, casing_process,
                              wall["stock"] or f"{thick:g} mm thick", names, of=WALLS))  # fmt: skip
    problems += _clear(bars, bodies, features, casing_process) + crossed(bars, tongues or ())
    problems += _past_disc(bars, bodies, disc_body, features, casing_process)
    detents = []
    for row in casing_detents:
        made, said = detent_row(row, {one["rail"]: one for one in bars}, disc_body, reach)
        detents += [made] if made else []
        problems += said
        ball = f"⌀ {nominal(row['ball'], 'The ball'):g} mm"
        items.append(BillItem("detent ball", 1, "steel", "", ball, note=row["detent"], of=("casing_detents",)))
    return Made({"casing_walls": walls, "casing_bores": rows, "casing_detents": detents}, features, items, sketches,
                problems)  # fmt: skip


def _walls(wall: str, rows: list[dict[str, Any]], thick: float, process: str) -> list[Feature]:
    found = []
    least = least_wall(rows)
    if least is not None:
        found.append(Feature(f"{wall} wall: between {least[0]}", WALL, least[1], process, STANDING))
    deepest = max((abs(one["ends"] - one["begins"]) for one in rows if one["bore"].startswith("bearing")), default=0.0)
    if deepest:
        found.append(Feature(f"{wall} wall: behind the bearings", WALL, thick - deepest, process, ALONG))
    return found


def _clear(
    rails: tuple[dict[str, Any], ...], bodies: list[Body], features: list[Feature], process: str
) -> list[Problem]:
    """Add what rails leave beside wheels to the features; return a problem for each that runs into one."""
    problems = []
    for rail in rails:
        least = beside(rail, bodies)
        if least is None:
            continue
        features.append(Feature(f"rail {rail['rail']}: beside {least[0]}", GAP, least[1], process, STANDING))
        if least[1] <= 0:
            said = f"It runs {-least[1]:.3g} mm into {least[0]}. Move it in `fork-rails`."
            problems.append(Problem(True, f"rail {rail['rail']}", said))
    return problems


def _past_disc(
    rails: tuple[dict[str, Any], ...], bodies: list[Body], disc: dict[str, Any] | None, features: list[Feature],
    process: str,
) -> list[Problem]:  # fmt: skip
    """Add what the disc leaves beside wheels to the features; return a problem for what runs into the disc."""
    if disc is None:
        return []
    half, problems = disc["thickness"] / 2.0, []
    for rail in rails:
        x, y, rod = (nominal(rail[name], "A rail") for name in ("x", "y", "rod"))
        if abs(x - disc["x"]) < disc["radius"] + rod / 2.0 and abs(y - disc["y"]) < half + rod / 2.0:
            said = "It runs through the disc. Move it in `fork-rails`, or the disc by `disc-y`."
            problems.append(Problem(True, f"rail {rail['rail']}", said))
    room = [(abs(one.at[1] - disc["y"]) - one.radius - half, one.what) for one in bodies
            if abs(one.at[0] - disc["x"]) < one.radius + disc["radius"]]  # fmt: skip
    if room:
        left, what = min(room)
        features.append(Feature(f"disc: beside {what}", GAP, left, process, (*DISC_PLACE, "centre_distance")))
        if left <= 0:
            problems.append(Problem(True, "disc", f"It stands {-left:.3g} mm into {what}. Move it by `disc-y`."))
    return problems


def _sketch(wall: str, rows: list[dict[str, Any]], bodies: list[Body]) -> Sketch:
    title = f"End wall, {wall}: its bores, seen from the right end"
    circles = []
    for one in rows:
        x, y = (round(nominal(one[name], "A bore"), 6) for name in ("x", "y"))
        circles.append(Circle(BORE, x, y, nominal(one["size"], "A bore") / 2.0))
    seen = {(one.at, one.radius) for one in bodies}
    most = {at: max(radius for other, radius in seen if other == at) for at, _ in seen}
    circles += [Circle(REFERENCE, round(at[0], 6), round(at[1], 6), radius) for at, radius in sorted(most.items())]
    told = f"{title}: {', '.join(one['bore'] for one in rows)}. Dashed: the largest wheel on each axis."
    drawing = Drawing(title, (), tuple(circles))
    return Sketch(f"wall-{slug(wall)}", title, told, drawing, drawing, (*STANDING, *SIZED))


CASING = Section(
    name="casing",
    title="Casing: axes and bores",
    purpose=(
        "Where the end walls are bored, for shafts, rails and detents, in one frame: z along the shafts, 0 at the left "
        "bearing shoulders and rising to the right; x from the first shaft's axis to the second's; y to the left of it."
    ),
    parameters=(
        Rows(
            "casing_walls",
            "End walls",
            (
                Text("wall", "End wall, as in `bearings`"),
                Choice("side", "End of the shafts", (LEFT, RIGHT)),
                millimetres("thickness", "Thickness", low=0.1),
                Text("stock", "Stock, or outline", default=""),
            ),
        ),
        Rows(
            "casing_bores",
            "Bores besides those of bearings and rails",
            (
                Text("axis", "Axis: one of the sheet, or of its own"),
                millimetres("size", "Nominal size", low=0.5),
                Choice("hole", "Tolerance class", (*HOLES, "K7", "N7", "P7"), default="H7"),
                millimetres("at_x", "x, for an axis of its own", -5000.0, "0 mm"),
                millimetres("at_y", "y, for an axis of its own", -5000.0, "0 mm"),
                Text("wall", "End wall", default=BOTH),
            ),
            optional=True,
        ),
        Choice("casing_rail_hole", "Tolerance class of the holes that rails slide in", HOLES, default="F8"),
        Rows(
            "casing_detents",
            "Detents, on a rail or on the disc's rim",
            (
                Text("detent", "Detent"),
                Text("rail", f"Rail, or `{DISC}`"),
                millimetres("ball", "Ball", low=0.5),
                millimetres("z", "Where it stands along the shafts, z; not asked for the disc's", -5000.0, "0 mm"),
                Choice("side", "Side of the rail or disc that it presses on", tuple(SIDES)),
                millimetres("sinks", "How far the ball sinks into its notch", 0.0, "0.5 mm"),
            ),
            optional=True,
        ),
        Choice("casing_process", "How the end walls are made", (AS_MODEL, *PROCESSES), default=AS_MODEL),
        Text("casing_material", "What the end walls are made of", default="not stated"),
    ),
    uses=("axes", "span", "housings", "rails", "tongues", "disc_body", "gears"),
    tables=(
        Table(
            "casing_walls",
            "End walls",
            (
                Column("wall", "Wall"),
                Column("inner", "Inner face at z", "mm", ("casing_walls", "shaft_span")),
                Column("outer", "Outer face at z", "mm", ("casing_walls", "shaft_span")),
                Column("thickness", "Thickness", "mm", WALLS),
            ),
        ),
        Table(
            "casing_bores",
            "Bores",
            (
                Column("wall", "Wall"),
                Column("bore", "Bore"),
                Column("x", "x", "mm", STANDING),
                Column("y", "y", "mm", STANDING),
                Column("size", "Bore to", "mm", SIZED),
                Column("begins", "From z", "mm", ALONG),
                Column("ends", "To z", "mm", ALONG),
            ),
            keys=2,
            split="wall",
        ),
        Table(
            "casing_detents",
            "Detents",
            (
                Column("detent", "Detent"),
                Column("rail", "On", of=("casing_detents",)),
                Column("wall", "In the wall", of=("casing_detents", "casing_walls", "shaft_span")),
                Column("x", "x, at the surface", "mm", DETENTS),
                Column("y", "y", "mm", DETENTS),
                Column("z", "z", "mm", DETENTS),
                Column("side", "From the side of", of=("casing_detents",)),
                Column("ball", "Ball", "mm", ("casing_detents",)),
                Column("hole", "Drill for it", "mm", ("casing_detents",)),
                Column("sinks", "Sinks in by", "mm", ("casing_detents",)),
            ),
        ),
    ),
    compute=compute,
    formula="Inner faces of end walls are flush with the bearing shoulders: bearings are let in from within.",
    sources=(
        "Tolerance classes: ISO 286-1 and -2:2010.",
        "A detent's hole is 0.1 mm wider than its ball: common practice, no source.",
    ),
    assumptions=(
        FRAME,
        "Beyond its bearing a bore is opened as far as the shaft's end needs; bearings bear against what is left.",
        "Printed walls are bored or reamed after printing: a printed hole holds none of these limits.",
        "Notches of a rail's detent stand a travel apart, the middle one in neutral; those of the disc's a step apart.",
        "Rails are held clear of the largest wheels all along, and of the tongues of other forks. Screws, covers and "
        "arms are not looked at: draw them yourself.",
    ),
    cautions=("A detent's spring throws its ball when the rail comes out: cover the hole with a cloth.",),
)
