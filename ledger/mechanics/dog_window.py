"""Dogs that enter gaps while their rings turn past each other: window, chance, waiting, play to be taken up.

Values are floats or arrays of draws of one shape. Angles are in degrees, times in seconds. The relative angle at which
the faces come together is taken as evenly spread over one pitch.
"""

from __future__ import annotations

from ledger.mechanics.maths import absolute, every, maximum, minimum, where
from ledger.mechanics.refusing import refuse

LONGEST = 1.0
LEAST_RATE = 1e-9
SHUT = 1e-9
INSIDE = 1e-3
PERMITTED = {
    "dogs": ("Dogs round the ring", "", 1.0, 1000.0),
    "gap": ("Gap between two dogs", "°", 0.001, 360.0),
    "dog": ("Dog that enters", "°", 0.001, 360.0),
    "difference": ("Speed difference", "1/min", 0.0, 200_000.0),
    "axial_speed": ("Axial speed", "m/s", 1e-6, 1000.0),
    "depth": ("Depth", "mm", 0.001, 10_000.0),
    "patience": ("Patience", "ms", 0.0, 10_000.0),
}


def turning(difference):
    """Return the relative angle a second of two rings [°/s]: 6 dn, of their speed difference dn [1/min]."""
    return 6.0 * difference


def window(clearance, rate, entry):
    """Return the range of relative angles from which a dog gets in to the needed depth [°]; none where 0 or below.

    w = c - w_r t_e; within a billionth of c of nothing it is nothing, so that rounding does not decide where it closes

    clearance  c, gap less dog [°]
    rate       w_r, relative angle a second [°/s]
    entry      t_e, time to the needed depth [s]: depth over axial speed
    """
    opening = clearance - rate * entry
    return where(absolute(opening) < SHUT * absolute(clearance), 0.0, opening)


def chance_of_entry(opening, rate, patience, pitch):
    """Return the chance that a dog gets in within the patience [-].

    P = min(1, (w + w_r T) / p) where w > 0, else 0: a share w / p gets in at once; every further second brings w_r
    degrees of others to the beginning of a gap

    opening   w, the window [°]
    rate      w_r [°/s]
    patience  T, time in which the entry must begin after the faces meet [s]
    pitch     p, 360° over the number of gaps [°]
    """
    return where(opening > 0, minimum(1.0, (opening + rate * patience) / pitch), 0.0)


def wait_until(share, opening, rate, pitch):
    """Return the time after which a share of all entries has begun [s], at most 1; 1 where none does.

    t = max(0, q p - w) / w_r

    share    q [-], 0 to 1
    opening, rate, pitch  see `chance_of_entry`
    """
    waited = maximum(0.0, share * pitch - opening) / maximum(rate, LEAST_RATE)
    return where(opening > 0, minimum(LONGEST, waited), LONGEST)


def greatest_difference(clearance, entry):
    """Return the speed difference at which the window closes [1/min]: c / (6 t_e); 0 where there is no clearance."""
    return maximum(0.0, clearance) / (6.0 * entry)


def best_difference(clearance, entry, patience, pitch):
    """Return the speed difference with the greatest chance, and that chance [1/min, -].

    Between standing and c / t_e the chance is (c + w_r (T - t_e)) / p, at most 1. With T > t_e it rises with the speed
    difference: the least that makes it 1 is best, or, if the window closes before, the close of the window. At the
    close itself nothing gets in, so what is returned lies a thousandth inside it. With T no more than t_e it falls, and
    standing is best.
    """
    closing = maximum(0.0, clearance) / entry
    spare = patience - entry
    full = (pitch - clearance) / maximum(spare, LEAST_RATE)
    rate = where(spare > 0, minimum(full, (1.0 - INSIDE) * closing), 0.0)
    fits = (clearance > 0) * 1.0
    chance = fits * minimum(1.0, (clearance + rate * spare) / pitch)
    return fits * rate / 6.0, chance


def dog_window(dogs, gap, dog, difference, axial_speed, depth, patience):
    """Return window, chance, waits and play of dogs that enter at a speed difference, as a dict of values.

    dogs         as many gaps as a dog can meet in one turn [-], 1 to 1000
    gap          opening between two dogs of the ring that is entered [°], less than 360 / dogs
    dog          angle of the entering dog, at the same radius [°]
    difference   speed difference [1/min], 0 to 200,000
    axial_speed  mean, over the depth [m/s]
    depth        overlap that must be reached before the flanks meet [mm]
    patience     time in which the entry must begin after the faces meet [ms]

    Whoever gets in at once does so anywhere in the window, so that between 0 and w is left to take up; whoever waited
    begins at the edge of a gap and has all of w left. Means are over all entries within the patience. Where none gets
    in, times count as a second and the play as nothing; a time beyond a second counts as one, since no shift waits so
    long.

    Errors: ValueError naming everything impossible at once.
    """
    wide = every(gap * dogs < 360.0 * (1.0 - 1e-9))
    refuse(
        PERMITTED,
        [] if wide else ["The gaps together are a full turn or more: no dogs are left between them."],
        dogs=dogs,
        gap=gap,
        dog=dog,
        difference=difference,
        axial_speed=axial_speed,
        depth=depth,
        patience=patience,
    )
    pitch, clearance, rate = 360.0 / dogs, gap - dog, turning(difference)
    entry, limit = depth / (1000.0 * axial_speed), patience / 1000.0
    opening = window(clearance, rate, entry)
    enters = opening > 0
    open_now = maximum(opening, 0.0)
    chance = chance_of_entry(opening, rate, limit, pitch)
    waited = where(enters, minimum(rate * limit, pitch - open_now), 0.0)
    floor = maximum(rate, LEAST_RATE)
    among = maximum(open_now + waited, LEAST_RATE)
    mean_wait = where(enters, 0.5 * waited * waited / (floor * among), LONGEST)
    play = open_now * (0.5 * open_now + waited) / among
    taking_up = minimum(LONGEST, play / floor)
    best, best_chance = best_difference(clearance, entry, limit, pitch)
    return {
        "pitch": pitch,
        "clearance": clearance,
        "entry_time": entry,
        "window": opening,
        "window_time": minimum(LONGEST, open_now / floor),
        "pitch_time": minimum(LONGEST, pitch / floor),
        "enters": enters,
        "chance": chance,
        "chance_at_once": open_now / pitch,
        "greatest_difference": greatest_difference(clearance, entry),
        "best_difference": best,
        "best_chance": best_chance,
        "mean_wait": mean_wait,
        "half_wait": wait_until(0.5, opening, rate, pitch),
        "most_wait": wait_until(0.95, opening, rate, pitch),
        "longest_wait": wait_until(1.0, opening, rate, pitch),
        "play": play,
        "greatest_play": open_now,
        "play_time": taking_up,
        "greatest_play_time": minimum(LONGEST, open_now / floor),
        "time_to_torque": minimum(LONGEST, mean_wait + entry + taking_up),
    }
