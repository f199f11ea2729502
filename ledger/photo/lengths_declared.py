"""Ways of measuring lengths and angles on flat things, declared."""

from __future__ import annotations

from ledger.photo import plane
from ledger.photo.declaring import Found, Known, Method, Role, Use, scaled, told
from ledger.photo.plane_known import Frame, known_circle, known_points, known_rectangle
from ledger.photo.plane_lean import lean
from ledger.photo.scale_bar import SAME_PLANE, View, distance, scale_bar
from ledger.photo.values import places

# What a 35 mm-equivalent focal length is over: the longer side of a frame of 36 by 24 mm.
FRAME = 36.0
# Of what difference in depth the effect is told where none is stated [mm].
SOME_DEPTH = 10.0
# A plane that leans more than this is seldom meant to face the camera [°].
STEEP = 25.0
FOCAL_HINT = (
    "The 35 mm-equivalent, as telephones and many cameras write it into the picture; where only the lens's own focal "
    "length is told, times 36 mm over the width of the sensor; a picture taken through a long lens has 100 to 200 mm"
)
PICKING = ("picking", "picks of what is measured")
REFERENCE = ("reference", "picks of what is known")
LENS = ("lens", "what the lens does to straight lines")
FLAT = "Everything that is measured lies in the plane of the known points; what stands out of it is measured wrong."
FOR_MODELS = "For understanding and models only, never for making or rating a part that carries people."
HARTLEY = "Hartley and Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. (2004)"
WHOLE_PICTURE = "The picture is whole: of a cropped one neither the lens nor the middle is where it is taken to be."


def _scale_bar(use: Use) -> Found:
    focal, depth = use.optional("focal"), use.optional("depth")
    view = View(
        *use.size,
        focal=None if focal is None else scaled(focal.to("mm"), 1 / FRAME, ""),
        tilt=use.quantity("tilt"),
        photograph=use.photograph,
    )
    bar, part = use.points["bar"], use.points["part"]
    found = scale_bar(
        (bar[0], bar[1]),
        use.quantity("bar"),
        (part[0], part[1]),
        view,
        use.lens,
        SAME_PLANE if depth is None else depth,
        count=use.count,
    )
    return told(found, notes=() if depth is not None else (_taken_alike(use, view),))


def _taken_alike(use: Use, view: View) -> str:
    """Return what it would do if the wanted length lay farther away than the known one, which nobody stated."""
    one, other = use.points["bar"]
    away = distance(one, other, use.quantity("bar"), view)
    low, high = (100 * SOME_DEPTH / far for far in reversed(away))
    by = f"{low:.2g} %" if high < 1.2 * low else f"{low:.2g} to {high:.2g} %"
    return (
        f"Taken as lying at the same depth as the known length, for nothing is stated: {SOME_DEPTH:g} mm farther from "
        f"the camera the wanted length would be {by} longer, nearer as much shorter. State the depth, or `0 mm`."
    )


SCALE_BAR = Method(
    name="scale-bar",
    title="Length beside a known length",
    purpose="A length from a known one near it, seen nearly square on.",
    roles=(
        Role("bar", "Ends of the known length", 2, 2, hint="For instance both sides of a bolt head across flats"),
        Role("part", "Ends of the wanted length", 2, 2, hint="In the same plane, or parallel to it"),
    ),
    knowns=(
        Known("bar", "Known length", "mm", hint="With its doubt: a standard part has its tolerance"),
        Known(
            "tilt",
            "How far the plane leans from facing the camera",
            "°",
            "0 ± 10 °",
            "Which way it leans need not be known; a picture meant to be square on is within 10°",
        ),
        Known(
            "depth",
            "How much farther away the wanted length lies",
            "mm",
            hint="Nearer is below zero",
            otherwise="the same as the known length",
        ),
        Known("focal", "Focal length of the camera", "mm", hint=FOCAL_HINT, otherwise="any from 20 to 200 mm"),
    ),
    unit="mm",
    outputs=(
        PICKING,
        REFERENCE,
        ("scale", "the known length"),
        ("tilt", "the lean of the plane"),
        ("depth", "the difference in depth"),
        ("focal", "the focal length"),
        LENS,
    ),
    formula="(*L*/|*A* - *B*| + *δ*) |*C* - *D*|, with *A*, *B*, *C*, *D* where the rays through the picks meet the "
    "leaning plane, *L* the known length and *δ* the difference in depth.",
    assumptions=(
        "Both lengths lie in one plane, or in two parallel planes whose distance is stated.",
        "The plane leans in a direction that nobody knows; every direction is taken alike.",
        WHOLE_PICTURE,
    ),
    cautions=(FOR_MODELS,),
    sources=(f"Central projection of a plane: {HARTLEY}, 6.1 and 8.1.",),
    compute=_scale_bar,
)


def frame_of(use: Use) -> Frame:
    """Return what is known of the plane: a rectangle, a circle, or points."""
    if "corners" in use.points:
        return known_rectangle(use.points["corners"], use.quantity("width"), use.quantity("height"), use.photograph)
    if "circle" in use.points:
        return known_circle(use.points["circle"], use.quantity("diameter"), use.quantities("angles"), use.photograph)
    pairs = tuple(zip(use.quantities("at-x"), use.quantities("at-y"), strict=True))
    return known_points(use.points["places"], pairs, use.photograph)


def _plane_length(use: Use) -> Found:
    one, other = use.points["part"]
    frame = frame_of(use)
    return told(plane.length(frame, one, other, use.lens, count=use.count), notes=_leaning(frame, use))


def _plane_angle(use: Use) -> Found:
    one, vertex, other = use.points["part"]
    frame = frame_of(use)
    return told(plane.angle(frame, one, vertex, other, use.lens, count=use.count), notes=_leaning(frame, use))


def _leaning(frame: Frame, use: Use) -> tuple[str, ...]:
    """Return a note where what is known of a plane implies that it leans far from facing the camera."""
    leans = lean(plane.rectification(frame, use.lens), places(frame.picks).mean(axis=0))
    if leans <= STEEP:
        return ()
    which = {
        "rectangle": "which side is the width and which the height",
        "circle": "which angle belongs to which point",
        "points": "which place belongs to which point",
    }
    return (
        f"What is known of the plane implies that it leans about {leans:.0f}° from facing the camera. If it was seen "
        f"more squarely, check {which[frame.form]}.",
    )


FRAME_ROLES = (
    Role(
        "corners", "Corners of a known rectangle", 4, 4, True, "In order round it; the first side is the width",
        instead="frame",
    ),
    Role(
        "circle", "Points on a known circle", 4, 40, True, "Bolts on their pitch circle, say; at known angles",
        instead="frame",
    ),
    Role("places", "Points at known places", 4, 40, True, "Spread over the plane, no three of four on a line",
         instead="frame"),
)  # fmt: skip
FRAME_KNOWNS = (
    Known("width", "Width of the rectangle", "mm", hint="Between the first and the second corner", of="corners"),
    Known("height", "Height of the rectangle", "mm", hint="Between the second and the third corner", of="corners"),
    Known("diameter", "Diameter of the circle", "mm", of="circle"),
    Known(
        "angles",
        "Angle of each point",
        "°",
        hint="About the middle, rising the way the points are seen to go round",
        of="circle",
        each="point",
    ),
    Known("at-x", "x of each point", "mm", of="places", each="point"),
    Known("at-y", "y of each point", "mm", of="places", each="point"),
)
PLANE_OUTPUTS = (PICKING, REFERENCE, ("known", "what is known of the plane"), LENS)
PLANE_FORMULA = "A plane goes to its picture by *x'* ~ *H x*, with *H* from four known points or the best fit to more; "

PLANE_LENGTH = Method(
    name="plane-length",
    title="Length on a known plane",
    purpose="A length between two points of a plane on which a rectangle, a circle or four points are known.",
    roles=(*FRAME_ROLES, Role("part", "Ends of the wanted length", 2, 2, hint="In that same plane")),
    knowns=FRAME_KNOWNS,
    unit="mm",
    outputs=PLANE_OUTPUTS,
    formula=PLANE_FORMULA + "the length is |*P₂* - *P₁*| on the plane.",
    assumptions=(FLAT, "Doubts of different knowns are independent.", WHOLE_PICTURE),
    cautions=(FOR_MODELS,),
    sources=(f"{HARTLEY}, 2.3, 4.1 and 8.1.",),
    compute=_plane_length,
)
PLANE_ANGLE = Method(
    name="plane-angle",
    title="Angle on a known plane",
    purpose="An angle between two legs in a plane on which a rectangle, a circle or four points are known.",
    roles=(
        *FRAME_ROLES,
        Role("part", "A point of one leg, the vertex, a point of the other", 3, 3, True, "Far out on both legs"),
    ),
    knowns=FRAME_KNOWNS,
    unit="°",
    outputs=PLANE_OUTPUTS,
    formula=PLANE_FORMULA + "the angle is atan2(|*a* × *b*|, *a* · *b*) between the legs *a* and *b*.",
    assumptions=(FLAT, "Doubts of different knowns are independent.", WHOLE_PICTURE),
    cautions=(FOR_MODELS,),
    sources=(f"{HARTLEY}, 2.3, 4.1 and 8.1.",),
    compute=_plane_angle,
)
