"""Ways of measuring changes of gear from the sound of an engine, declared."""

from __future__ import annotations

from ledger.errors import PhotoRefused
from ledger.photo.declaring import Found, Known, Method, Role, Use, told
from ledger.photo.lengths_declared import FOR_MODELS
from ledger.photo.sound import Change, hear_changes
from ledger.photo.values import measured, refuse

ROLES = (
    Role("heard", "Start and end of what is listened to", 1, 1, hint="One change up, half a second on either side",
         form="span"),
    Role("guide", "Points on the line of the firing order", 0, 50, hint="Where another line drowns it", form="guide"),
)  # fmt: skip
KNOWNS = (
    Known(
        "band",
        "Lowest and highest frequency of the firing order",
        "Hz",
        hint="Engine speed in 1/min over 60, times half the cylinders of a four-stroke; a range such as `60..400 Hz`",
    ),
    Known("change", "Which change up in the span", "", otherwise="the only one", whole=True),
    Known("kept", "Share of its rate of gaining speed that the vehicle keeps in the gap", "", "-0.2..1"),
    Known(
        "passing",
        "Rate at which coming nearer or going away changes the pitch",
        "1/s",
        "0 1/s",
        "0 on board; from beside the road the speed squared over distance and 340 m/s at most",
    ),
    Known("least", "Least step that counts as a change", "", "1.05"),
)
SOURCE = "Bretthorst, Bayesian Spectrum Analysis and Parameter Estimation (1988), ch. 2 to 4."
ONE_ORDER = "One order of the engine is followed throughout: the firing order, or any other."


def _change(use: Use) -> Change:
    if use.recording is None:
        raise PhotoRefused("recording: given none; expected a WAV. Name it in `file`.")
    band = use.quantity("band").to("Hz").support
    span = use.points["heard"][0]
    heard = hear_changes(
        use.recording,
        band,
        (span.x, span.y),
        [(one.x, one.y) for one in use.points.get("guide", ())],
        use.quantity("kept"),
        use.quantity("passing"),
        use.quantity("least").mean,
        min(use.count, 4_000),
    )
    wanted = use.optional("change")
    number = 1 if wanted is None else round(wanted.mean)
    times = ", ".join(f"{one.time.estimate:.2f} s" for one in heard.changes)
    if (wanted is None and len(heard.changes) > 1) or not 1 <= number <= len(heard.changes):
        refuse(
            [
                f"heard: given a span with {len(heard.changes)} changes, at {times}; expected "
                f"{'one' if wanted is None else f'change {number} among them'}. Narrow the span, or say which in "
                "`change`."
            ]
        )
    return heard.changes[number - 1]


def _ratio(use: Use) -> Found:
    found = _change(use).ratio
    return told(measured("ratio step", found.unit, found.draws, found.parts))


def _gap(use: Use) -> Found:
    found = _change(use).gap
    parts = {cause: 1000 * part for cause, part in found.parts.items()}
    return told(measured("gap", "ms", 1000 * found.draws, parts))


SOUND_RATIO = Method(
    name="sound-ratio",
    title="Ratio step from a recording",
    purpose="The step between two gears from a recording of the engine as it changes up.",
    roles=ROLES,
    knowns=KNOWNS,
    unit="",
    outputs=(
        ("noise", "what else is heard"),
        ("speed in the gap", "what the vehicle's speed does in the gap"),
        ("passing", "the changing distance"),
    ),
    formula="*f₁*/*f₂* · exp(kept (*r₁* - *p*) *g* + *p g*), with *f₁* and *f₂* the line's frequency at the ends of "
    "the gap *g*, *r₁* its relative rise before and *p* the passing.",
    assumptions=(ONE_ORDER, "No wheel slips, and no clutch after the gap."),
    cautions=(FOR_MODELS,),
    sources=(SOURCE,),
    compute=_ratio,
    medium="recording",
    lens=False,
)
SOUND_GAP = Method(
    name="sound-gap",
    title="Gap of a change from a recording",
    purpose="How long the engine falls at a change up, from a recording of it.",
    roles=ROLES,
    knowns=KNOWNS,
    unit="ms",
    outputs=(("noise", "what else is heard"), ("softness", "how softly the engine falls, which is hardly heard")),
    formula="The time from the end of the line before to the start of the line after, both fitted to the recording.",
    assumptions=(
        ONE_ORDER,
        "A change without a gap, where the engine is slowed while it drives, has a gap here all the same: the time "
        "that the engine falls.",
        "The engine falls in anything from a straight line to half a cosine. Where a fall is short or faint, the "
        "estimate is up to an eighth too long for a straight one and too short for half a cosine.",
    ),
    cautions=(FOR_MODELS,),
    sources=(SOURCE,),
    compute=_gap,
    medium="recording",
    lens=False,
)
