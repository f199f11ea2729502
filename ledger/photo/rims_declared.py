"""Ways of measuring round parts from the ellipses their rims are seen as, declared."""

from __future__ import annotations

from ledger.photo.circle_pose import View
from ledger.photo.declaring import Known, Method, Role, Use, scaled
from ledger.photo.lengths_declared import FOCAL_HINT, FOR_MODELS, FRAME, LENS, WHOLE_PICTURE
from ledger.photo.rim_fit import Rim, fit_rim
from ledger.photo.round_part import diameter, ratio, tilt
from ledger.photo.straightening import over_lenses
from ledger.photo.values import Measured

ANY_LENS = "any lens from 6° to 74° of view"
CAMERA = (
    Known("focal", "Focal length of the camera", "mm", hint=FOCAL_HINT, otherwise=ANY_LENS),
    Known(
        "distance",
        "Distance of the camera over the rim's diameter",
        "",
        hint="In place of the focal length; of the reference rim, where there is one",
        otherwise=ANY_LENS,
    ),
    Known(
        "nearer",
        "Which side of the rim is nearer to the camera",
        None,
        "unknown",
        words=("unknown", "left", "right", "above", "below"),
    ),
)
RIM_HINT = "All round, or as long an arc as is seen; every pick on the same edge"
PERSPECTIVE = ("perspective", "what is not known of the camera")
RIM = ("picking", "picks of the rims")
ROUND = "The rims are true circles and their edges are sharp; a chamfer makes an edge smaller than the part."
AXIS = (
    Role("rim", "Points of the wanted rim", 5, 200, hint=RIM_HINT),
    Role("reference", "Points of the known rim", 5, 200, hint=RIM_HINT),
)
ARRANGEMENT = Known(
    "arrangement",
    "How the two rims stand to each other",
    None,
    "coaxial",
    "On one axis, or side by side in one plane",
    words=("coaxial", "coplanar"),
)
POSE = "Forsyth et al., Invariant descriptors for 3-D object recognition and pose, IEEE PAMI 13 (1991), pp. 971-991."
FIT = "Halir and Flusser, Numerically stable direct least squares fitting of ellipses, WSCG (1998)."


def view_of(use: Use) -> View:
    """Return what is known of the camera, focal length in pixels."""
    focal = use.optional("focal")
    pixels = None if focal is None else scaled(focal.to("mm"), max(use.size) / FRAME, "px")
    return View(*use.size, focal=pixels, distance=use.optional("distance"), nearer=use.word("nearer"))


def rim_of(use: Use, role: str) -> Rim:
    """Return the rim through the picks of a role."""
    return fit_rim(use.points[role], role, use.count)


def _tilt(use: Use) -> Measured:
    return over_lenses(use, lambda one: tilt(rim_of(one, "rim"), view_of(one)))


RIM_TILT = Method(
    name="rim-tilt",
    title="Tilt of a round part",
    purpose="The angle between the axis of a round part and the line of sight.",
    roles=(AXIS[0],),
    knowns=CAMERA,
    unit="°",
    outputs=(RIM, PERSPECTIVE, LENS),
    formula="Far away acos(*b*/*a*) of the ellipse's half axes; near by, the circle that fits the rays to the ellipse.",
    assumptions=(ROUND, WHOLE_PICTURE),
    cautions=(FOR_MODELS,),
    sources=(POSE, FIT),
    compute=_tilt,
)


def _diameter(use: Use) -> Measured:
    return over_lenses(
        use,
        lambda one: diameter(
            rim_of(one, "rim"),
            rim_of(one, "reference"),
            one.quantity("reference"),
            view_of(one),
            one.quantity("depth"),
            one.word("arrangement"),
        ),
    )


RIM_DIAMETER = Method(
    name="rim-diameter",
    title="Diameter beside a known rim",
    purpose="The diameter of a round part from a rim of known diameter on the same axis or in the same plane.",
    roles=AXIS,
    knowns=(
        Known("reference", "Diameter of the known rim", "mm", hint="Of the very edge that is marked"),
        Known(
            "depth", "How far the wanted rim lies behind the known one", "mm", "0 mm",
            "Along the axis; in front is below zero; 0 for rims in one plane",
        ),
        ARRANGEMENT,
        *CAMERA,
    ),
    unit="mm",
    outputs=(
        RIM, ("scale", "the known diameter"), PERSPECTIVE, ("depth", "the distance of the two along the axis"), LENS,
    ),
    formula="*d* = *d₀* |*C*| / (*k* |*C₀*|/*k₀*), with *C* the centres and *k* the distances over the radii that fit "
    "the rays; for rims at one place nearly *d₀* *a*/*a₀*.",
    assumptions=(ROUND, "The rims share their axis, or their plane.", WHOLE_PICTURE),
    cautions=(FOR_MODELS,),
    sources=(POSE, FIT),
    compute=_diameter,
)  # fmt: skip


def _ratio(use: Use) -> Measured:
    return over_lenses(
        use,
        lambda one: ratio(
            rim_of(one, "rim"),
            rim_of(one, "reference"),
            view_of(one),
            one.quantity("depth"),
            one.word("arrangement"),
        ),
    )


RIM_RATIO = Method(
    name="rim-ratio",
    title="Ratio of two diameters",
    purpose="The diameter of a round part over that of another rim on the same axis or in the same plane.",
    roles=AXIS,
    knowns=(
        Known(
            "depth", "How far the rim lies behind the other, over the other's diameter", "", "0",
            "Along the axis; in front is below zero; 0 for rims in one plane",
        ),
        ARRANGEMENT,
        *CAMERA,
    ),
    unit="",
    outputs=(RIM, PERSPECTIVE, ("depth", "the distance of the two along the axis"), LENS),
    formula="|*C*| / (*k* |*C₀*|/*k₀*), with *C* the centres and *k* the distances over the radii that fit the rays; "
    "for rims at one place nearly *a*/*a₀*.",
    assumptions=(ROUND, "The rims share their axis, or their plane.", WHOLE_PICTURE),
    cautions=(FOR_MODELS,),
    sources=(POSE, FIT),
    compute=_ratio,
)  # fmt: skip
