"""Oil through a hollow turning shaft to holes along it: pressures, flows, and whether every hole gets its share.

Values are floats or arrays of draws of one shape, in SI units but for speeds of turning; pressures are those above the
air around.
"""

from __future__ import annotations

from ledger.mechanics.maths import absolute, every, maximum, minimum, pi, sqrt, where
from ledger.mechanics.permitted import outside

LAMINAR, TURBULENT = 2300.0, 4000.0
HALVINGS = 60
NOTHING = 1e-12
PERMITTED = {
    "pressure": ("Supply pressure", "Pa", -1e5, 1e8),
    "greatest_flow": ("Greatest flow of the supply", "m³/s", 1e-9, 10.0),
    "speed": ("Speed", "1/min", 0.0, 200_000.0),
    "bore": ("Bore", "m", 1e-4, 1.0),
    "feed_radius": ("Radius at which oil enters", "m", 0.0, 1.0),
    "density": ("Density of the oil", "kg/m³", 500.0, 2000.0),
    "viscosity": ("Kinematic viscosity of the oil", "m²/s", 1e-7, 0.1),
    "inlet": ("Diameter of an inlet drilling", "m", 0.0, 0.5),
    "inlets": ("Number of inlet drillings", "", 1.0, 1000.0),
    "discharge": ("Discharge coefficient", "", 0.05, 1.0),
    "place": ("Place along the shaft", "m", 0.0, 100.0),
    "diameter": ("Diameter of a hole", "m", 1e-5, 0.5),
    "count": ("Number of holes", "", 1.0, 1000.0),
    "radius": ("Radius of the outlet", "m", 0.0, 5.0),
    "back": ("Pressure against the hole", "Pa", -1e5, 1e8),
    "needed": ("Flow that is needed", "m³/s", 0.0, 10.0),
}


def centrifugal_rise(density, speed, radius):
    """Return the rise of pressure from the axis out to a radius in oil that turns as a body [Pa].

    p = rho w² r² / 2, with w = 2 pi n / 60

    density  rho [kg/m³]
    speed    n [1/min]
    radius   r [m]

    Source: forced vortex; Cengel and Cimbala, Fluid Mechanics, ch. 3 (fluids in rigid-body motion).
    """
    rim = 2.0 * pi * speed / 60.0 * radius
    return density * rim * rim / 2.0


def hole_flow(pressure, diameter, count, discharge, density):
    """Return the flow through like holes under a pressure [m³/s]; inward, below zero, under a pressure below zero.

    Q = z C_d A sqrt(2 p / rho)

    pressure   p over the hole [Pa]
    diameter   of a hole [m]
    count      z [-]
    discharge  C_d [-]
    density    rho [kg/m³]

    Source: orifice equation; e.g. Esposito, Fluid Power with Applications (Q = 38.06 C A sqrt(p/SG) in gpm, in², psi).
    """
    speed = sqrt(2.0 * absolute(pressure) / density)
    return where(pressure < 0.0, -1.0, 1.0) * count * discharge * pi * diameter * diameter / 4.0 * speed


def bore_loss(flow, length, bore, density, viscosity):
    """Return the loss of pressure along a smooth bore [Pa], of the sign of the flow.

    p = f (L/d) rho v|v|/2 with f = 64/Re below Re = 2300 and f = 0.3164/Re^0.25 above 4000, Re = |v| d/nu; between them
    f goes evenly from the one to the other

    flow       [m³/s]
    length     L [m]
    bore       d [m]
    density    rho [kg/m³]
    viscosity  nu, kinematic [m²/s]

    Source: Hagen and Poiseuille; Blasius; Esposito, Fluid Power with Applications, ch. 4 (ex. 4-3).
    """
    speed = 4.0 * flow / (pi * bore * bore)
    reynolds = maximum(absolute(speed) * bore / viscosity, 1e-30)
    share = minimum(maximum((reynolds - LAMINAR) / (TURBULENT - LAMINAR), 0.0), 1.0)
    friction = (1.0 - share) * 64.0 / reynolds + share * 0.3164 / sqrt(sqrt(reynolds))
    return friction * length / bore * density * speed * absolute(speed) / 2.0


def along_shaft(end_pressure, holes, bore, density, viscosity, speed, discharge):
    """Return what a pressure on the axis at the last hole takes at the feed: pressure [Pa], flow [m³/s], and rows.

    A hole with more pressure against it than in it passes nothing: what presses there is taken to have no oil to give.

    Rows, in order of the holes: `axis` pressure there [Pa], pressure over the `hole` [Pa], its `flow` and the flow in
    the bore up to it, `carried` [m³/s].
    """
    pressure, carried, rows = end_pressure, 0.0 * end_pressure, []
    for place in range(len(holes) - 1, -1, -1):
        hole = holes[place]
        over = pressure + centrifugal_rise(density, speed, hole["radius"]) - hole["back"]
        flow = maximum(hole_flow(over, hole["diameter"], hole["count"], discharge, density), 0.0)
        carried = carried + flow
        rows.insert(0, {"axis": pressure, "hole": over, "flow": flow, "carried": carried})
        length = hole["place"] - (holes[place - 1]["place"] if place else 0.0)
        pressure = pressure + bore_loss(carried, length, bore, density, viscosity)
    return pressure, carried, rows


def inlet_loss(flow, diameter, count, discharge, density):
    """Return the loss of pressure in the drillings by which oil enters the shaft [Pa], 0 where the diameter is 0.

    p = rho/2 (Q/(z C_d A))²: the inverse of `hole_flow`
    """
    area = count * discharge * pi * diameter * diameter / 4.0
    speed = flow / where(area > 0.0, area, 1.0)
    return where(area > 0.0, density * speed * speed / 2.0, 0.0)


def oil_feed(
    pressure, holes, bore, speed, density, viscosity, discharge=0.65, feed_radius=0.0,
    greatest_flow=PERMITTED["greatest_flow"][3], inlet=0.0, inlets=1.0,
):  # fmt: skip
    """Return pressures and flows as a dict of values and `rows`, one a hole.

    pressure       of the supply [Pa], as far as it can bring the flow
    holes          rows, from the feed on: `place` [m], `diameter` [m], `count`, `radius` of the outlet [m], pressure
                   against it, `back` [Pa], and flow `needed` [m³/s]
    bore           d [m]
    speed          of the shaft [1/min]
    feed_radius    radius at which oil enters the turning shaft: it has to be pressed inward from there [m]
    greatest_flow  that the supply brings [m³/s]
    inlet, inlets  diameter [m] and number of the drillings by which oil enters the turning shaft; 0: no resistance
    others         see `bore_loss` and `hole_flow`

    The pressure at the last hole is found by halving, such that at the feed there is the supply's pressure less rho w²
    r_f²/2 and the loss of the inlet, or the greatest flow, whichever comes first. A pressure below zero on the axis
    means a core of air, whose rim has the pressure of the air; as long as it is narrower than the bore, what was found
    stands. As wide as the bore, there is only a `film` on its wall: then each hole in turn takes what it can of what
    comes in, and those behind get the rest (`film_flows`). `share` is flow over need, and 1 where nothing is needed and
    something comes; `reached` where it is 1 or more.

    Errors: ValueError naming everything impossible at once.
    """
    _refuse(
        holes,
        {
            "pressure": pressure,
            "bore": bore,
            "speed": speed,
            "density": density,
            "viscosity": viscosity,
            "discharge": discharge,
            "feed_radius": feed_radius,
            "greatest_flow": greatest_flow,
            "inlet": inlet,
            "inlets": inlets,
        },
    )
    inward = centrifugal_rise(density, speed, feed_radius)
    at_feed = pressure - inward
    balanced = [hole["back"] - centrifugal_rise(density, speed, hole["radius"]) for hole in holes]
    low = high = at_feed
    for one in balanced:
        low, high = minimum(low, one), maximum(high, one)
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        reached, carried, _ = along_shaft(middle, holes, bore, density, viscosity, speed, discharge)
        spent = inlet_loss(carried, inlet, inlets, discharge, density)
        above = (reached + spent > at_feed) | (carried > greatest_flow)
        low, high = where(above, low, middle), where(above, middle, high)
    at_axis, carried, rows = along_shaft(low, holes, bore, density, viscosity, speed, discharge)
    least = at_axis
    for row in rows:
        least = minimum(least, row["axis"])
    rim = centrifugal_rise(density, speed, bore / 2.0)
    limited, film = carried >= greatest_flow * (1.0 - 1e-6), least < -rim
    enters = where(limited, greatest_flow, where(at_feed < -rim, 0.0, maximum(carried, 0.0)))
    through = hole_flow(maximum(at_feed + rim, 0.0), inlet, inlets, discharge, density)
    enters = where((inlet > 0.0) & film, minimum(enters, through), enters)
    flows = film_flows(enters, holes, density, speed, discharge, rim)
    every_one, shares = least == least, 1e300
    for row, hole, thin in zip(rows, holes, flows, strict=True):
        over = centrifugal_rise(density, speed, hole["radius"]) - rim - hole["back"]
        row["flow"], row["hole"] = where(film, thin, row["flow"]), where(film, over, row["hole"])
        row["axis"] = where(film, -rim, row["axis"])
        wanting = hole["needed"] > NOTHING
        some = where(row["flow"] > 0.0, 1.0, 0.0)
        row["share"] = where(wanting, row["flow"] / where(wanting, hole["needed"], 1.0), some)
        row["reached"] = row["share"] >= 1.0
        every_one, shares = every_one & row["reached"], minimum(shares, row["share"])
    left = 0.0 * enters
    for row in rows[::-1]:
        left = left + row["flow"]
        row["carried"] = left
    return {
        "flow": left,
        "feed_pressure": at_axis,
        "inward": inward,
        "inlet_loss": inlet_loss(left, inlet, inlets, discharge, density),
        "least_pressure": maximum(least, -rim),
        "least_share": shares,
        "full": least >= 0.0,
        "film": film,
        "reaches_every": every_one,
        "flow_limited": limited,
        "rows": rows,
    }


def film_flows(enters, holes, density, speed, discharge, rim):
    """Return the flow through each hole where oil only wets the wall of the bore [m³/s]: first come, first served.

    enters  flow that comes in [m³/s]
    rim     rise of pressure from the axis to the wall of the bore [Pa]
    others  see `oil_feed`
    """
    found, left = [], enters
    for hole in holes:
        over = maximum(centrifugal_rise(density, speed, hole["radius"]) - rim - hole["back"], 0.0)
        taken = minimum(hole_flow(over, hole["diameter"], hole["count"], discharge, density), left)
        found.append(taken)
        left = left - taken
    return found


def _refuse(holes, given):
    faults = [outside(PERMITTED[name], value) for name, value in given.items()]
    if not holes:
        faults.append("The shaft has no hole.")
    for place, hole in enumerate(holes, 1):
        said = [
            outside(PERMITTED[key], hole[key]) for key in ("place", "diameter", "count", "radius", "back", "needed")
        ]
        if not any(said) and not every((given["speed"] <= 0.0) | (hole["radius"] >= given["bore"] / 2.0)):
            said.append("Its outlet lies inside the wall of the bore; the radius must be half the bore or more.")
        if place > 1 and not every(hole["place"] >= holes[place - 2]["place"]):
            said.append("It lies before the hole above it; state holes in their order from the feed.")
        faults += [f"Hole {place}: {one}" for one in said if one]
    said = [fault for fault in faults if fault]
    if said:
        raise ValueError(" ".join(said))
