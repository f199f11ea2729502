"""Tooth pairs against a brute force over whole sets, chances by hand, and boxes made up at random."""

from __future__ import annotations

from itertools import product
from math import exp, gcd

import numpy as np
import pytest

from ledger.calculators.stated import density_of
from ledger.mechanics.gear_geometry import centre_distance
from ledger.mechanics.tooth_pairs import allowed_pairs, difference_chances, printed_range, splits_of_sum, sum_chances
from ledger.quantities.notation import parse
from tests.gearboxes import beside, exact, gear, normal, pairs_of, weigh

MEASURED = "measured or wanted"


def brute(
    gears: list[tuple[float, float]], least: int, most: int, chances: dict[int, float], odd: float
) -> dict[tuple, float]:
    """Posterior of whole sets, the distance unknown, by going through every set and every common sum.

    Sums have the prior 1/S; any pair lies off the common sum with the chance `odd`.

    gears  by gear: wanted ratio and its standard deviation
    """
    wheels = range(least, most + 1)
    pairs = list(product(wheels, wheels))
    far = range(least, 2 * most + 1)
    of_sum = {total: sum(a + b == total for a in far for b in far) for total in range(2 * least, 2 * most + 1)}
    prior_of = {total: 1 / total / sum(1 / one for one in of_sum) for total in of_sum}
    weights: dict[tuple, float] = {}
    for chosen in product(pairs, repeat=len(gears)):
        likely = 1.0
        for (first, second), (ratio, std) in zip(chosen, gears, strict=True):
            likely *= exp(-0.5 * ((second / first - ratio) / std) ** 2) / of_sum[first + second]
        prior = 0.0
        for common in of_sum:
            allowed = {d: p for d, p in chances.items() if common + d in of_sum}
            part = prior_of[common]
            for pair in chosen:
                on = allowed.get(sum(pair) - common, 0.0) / sum(allowed.values())
                part *= (1 - odd) * on + odd * prior_of[sum(pair)]
            prior += part
        weights[chosen] = likely * prior
    whole = sum(weights.values())
    return {chosen: weight / whole for chosen, weight in weights.items()}


def test_every_set_by_brute_force() -> None:
    """Two gears of 10 to 15 teeth: the chances of all 1296 sets, their order, and those of the pairs."""
    share = 0.04
    expected = brute([(1.2, 1.2 * share), (0.9, 0.9 * share)], 10, 15, difference_chances(0.6, 2), 0.1)
    found = weigh(
        [gear("a", 1.2, MEASURED), gear("b", 0.9, MEASURED)],
        least=10, most=15, same=0.6, spread=2, closeness=share, odd=0.1,
    )  # fmt: skip
    ranked = sorted(expected.items(), key=lambda one: -one[1])[:10]
    for row, (chosen, chance) in zip(found["sets"], ranked, strict=True):
        assert row["probability [%]"] / 100 == pytest.approx(chance, rel=1e-6)
        assert row["pairs"] == ", ".join(f"{name} {a}:{b}" for name, (a, b) in zip("ab", chosen, strict=True))
    for place, name in enumerate("ab"):
        for pair, chance in pairs_of(found, name).items():
            by_hand = sum(one for chosen, one in expected.items() if chosen[place] == pair)
            assert chance == pytest.approx(by_hand, rel=1e-6)


def test_splits_of_a_sum_by_hand() -> None:
    """1.5 to one decimal is 1.45 to 1.55; every pair in it has likelihood 1 over the n(S) splits of its sum.

    Wheels of 15 and more: n(40) = 11 splits, 15:25 to 25:15, and n(45) = 16, and sums weigh as 1/S, so that 16:24 is
    16/11 times 45/40 as probable as 18:27. Of 24:36, a sum of 60 has 31 splits, though 30 teeth are the most.
    """
    found = weigh([gear("g", 1.5, decimals=1)], least=15, most=30, spread=0)
    assert splits_of_sum(60, 15) == 31
    fits = {
        (a, total - a): 1 / total / sum(15 <= b <= total - 15 for b in range(total))
        for total in range(30, 61)
        for a in range(15, 31)
        if 15 <= total - a <= 30 and 1.45 <= (total - a) / a <= 1.55
    }
    assert fits[16, 24] / fits[18, 27] == pytest.approx(16 / 11 * 45 / 40)
    seen = pairs_of(found, "g")
    assert (16, 24) in seen
    assert all(chance == pytest.approx(fits[pair] / sum(fits.values())) for pair, chance in seen.items())


def test_rounded_and_cut_off_by_hand() -> None:
    """1.66 for 5/3: cut off, for 1.666… would be rounded to 1.67. Both kinds in one table contradict each other."""
    cut = gear("a", 1.66, "rounded or cut off", 2, driver=27, driven=45)
    rounded = gear("b", 1.67, "rounded or cut off", 2, driver=24, driven=40)
    assert weigh([cut])["cut_off_chance"] == pytest.approx(1)
    assert weigh([rounded])["cut_off_chance"] == 0
    assert not weigh([cut, rounded], spread=12, same=0.1)["fits"]
    assert weigh([cut | {"how": "cut off"}, rounded | {"how": "rounded"}], spread=12, same=0.1)["fits"]


def test_the_distance_weighs_sums_as_by_hand() -> None:
    """No profile shift: a = m S/2 exactly, so sums weigh as the normal density of the measured distance there."""
    found = weigh(
        [gear("g", 0.0, MEASURED, driver=30)],
        distance=normal(150, 4), module=exact(5.0), shift_low=0.0, shift_high=0.0, spread=0, least=20, most=40,
        odd=0.0, own=0.0,
    )  # fmt: skip
    std = 4 / 1.959963984540054
    likely = {}
    for total in range(50, 71):
        likely[total] = exp(-0.5 * ((2.5 * total - 150) / std) ** 2) / (total - 39) / total
    for (_, driven), chance in pairs_of(found, "g").items():
        assert chance == pytest.approx(likely[30 + driven] / sum(likely.values()), rel=1e-6)


def test_profile_shift_lets_neighbouring_sums_share_a_distance() -> None:
    """At 180 mm, module 5, a sum of 71 needs a shift sum of about +0.52: allowed up to 1, refused below 0.5."""
    assert centre_distance(5.0, 71, 0, 0.5) < 180 < centre_distance(5.0, 71, 0, 0.55)
    row = gear("g", 0.0, MEASURED, driver=26, driven=45)
    wide = weigh([row], distance=exact(180.0), module=exact(5.0), shift_high=1.0, odd=0.0, own=0.0)
    narrow = weigh([row], distance=exact(180.0), module=exact(5.0), shift_high=0.5, odd=0.0, own=0.0)
    assert wide["fits"]
    assert not narrow["fits"]


def test_a_step_up_is_found_out() -> None:
    """Seven invented ratios behind 33:22 fit no seven pairs without it; with it one set, in which all sums are 72."""
    ratios = {1: 1.860, 2: 1.420, 3: 1.111, 4: 0.882, 5: 0.745, 6: 0.631, 7: 0.564}
    counts = [(19, 53), (23, 49), (27, 45), (31, 41), (34, 38), (37, 35), (39, 33)]
    for ratio, (first, second) in zip(ratios.values(), counts, strict=True):
        assert round(second / first * 22 / 33, 3) == ratio
    rows = [gear(str(name), ratio, "rounded or cut off") for name, ratio in ratios.items()]
    candidates = [beside("step-up of 33 to 22", 33, 22), beside("nothing"), beside("step-up of 4 to 3", 4, 3)]
    found = weigh(rows, beside=candidates, distance=normal(181, 5), modules="series I")
    assert found["set"] == ", ".join(f"{name} {a}:{b}" for name, (a, b) in enumerate(counts, start=1))
    assert found["set_chance"] > 0.95
    assert found["beside_chance"] > 0.99
    assert (found["module_found"], found["sum"]) == (5.0, 72)
    without = weigh(rows, beside=candidates[1:2], distance=normal(181, 5), modules="series I")
    assert found["evidence"] - without["evidence"] == pytest.approx(114, abs=1)
    assert without["off_chance"] > 0.99
    alone = weigh(rows, beside=candidates[1:2], distance=normal(181, 5), same=0.7, spread=3, odd=0.0, own=0.0)
    assert not alone["fits"]


@pytest.mark.parametrize("text", ["2.1 ± 0.05", "2.0..2.2", "2.0..2.05..2.2"])
def test_densities_of_stated_quantities_are_exact(text: str) -> None:
    """Recognised from draws and limits, the density is that of the notation."""
    from ledger.calculators.binding import _with_limits
    from ledger.calculators.contract import Number
    from ledger.quantities.density import density

    quantity = parse(text)
    given = _with_limits(Number("x", "x", limits=True), quantity, quantity.draw(10_000, np.random.default_rng(3)))
    _, _, found = density_of(given)
    at = np.linspace(1.9, 2.3, 41)
    assert found(list(at)) == pytest.approx(density(quantity, at), rel=1e-9)


def test_densities_of_other_draws_are_histograms() -> None:
    """Draws of a skew shape: the histogram holds all probability and follows the shape."""
    draws = np.random.default_rng(5).exponential(1.0, 20_000) + 2
    given = {"draws": draws, "low": 2.02, "high": 5.7, "nominal": 2.7}
    low, high, found = density_of(given)
    at = np.linspace(low, high, 6001)
    assert np.trapezoid(found(list(at)), at) == pytest.approx(1, abs=0.01)
    assert found([2.5])[0] == pytest.approx(exp(-0.5), rel=0.1)
    assert found([1.0, 99.0]).tolist() == [0, 0]


def test_chances_are_kept_over_boxes_made_up_at_random() -> None:
    """Boxes drawn from the prior: the most probable set is the true one about as often as its probability says."""
    random = np.random.default_rng(11)
    chances, odd, sums = difference_chances(0.7, 2), 0.1, np.arange(40, 61)
    prior = 1 / sums / np.sum(1 / sums)
    hits, claimed, boxes = 0, 0.0, 150
    for _ in range(boxes):
        truth: list[tuple[int, int]] = []
        while not truth or max(map(max, truth)) > 30:
            common = int(random.choice(sums, p=prior))
            truth = []
            for _ in "abc":
                allowed = {d: p for d, p in chances.items() if 40 <= common + d <= 60}
                odds = np.array(list(allowed.values())) / sum(allowed.values())
                total = common + int(random.choice(list(allowed), p=odds))
                total = int(random.choice(sums, p=prior)) if random.random() < odd else total
                first = int(random.integers(20, total - 20 + 1))
                truth.append((first, total - first))
        rows = [gear(name, round(b / a, 2), decimals=2) for name, (a, b) in zip("abc", truth, strict=True)]
        found = weigh(rows, least=20, most=30, spread=2, same=0.7, odd=odd)
        assert found["fits"]
        hits += found["set"] == ", ".join(f"{n} {a}:{b}" for n, (a, b) in zip("abc", truth, strict=True))
        claimed += found["set_chance"]
    spread = (claimed / boxes * (1 - claimed / boxes) * boxes) ** 0.5
    assert hits == pytest.approx(claimed, abs=3.5 * spread + 1)


def test_a_planted_wrong_range_is_caught() -> None:
    """Taking a cut-off ratio as rounded loses the true pair: 5/3 printed 1.666 lies outside 1.6655 to 1.6665."""
    low, high = printed_range(1.666, 3, "rounded")
    assert (27, 45) not in allowed_pairs({"low": low, "high": high, "density": None}, 1.0, 12, 60)
    low, high = printed_range(1.666, 3, "cut off")
    found = allowed_pairs({"low": low, "high": high, "density": None}, 1.0, 12, 60)
    assert (27, 45) in found
    assert all(b * 3 == a * 5 for a, b in found)
    assert gcd(27, 45) == 9


SIXES = {
    "3 teeth apart": [(14, 38), (18, 35), (21, 31), (23, 28), (25, 26), (26, 24)],
    "4 teeth apart": [(12, 34), (16, 32), (19, 29), (22, 27), (24, 25), (26, 24)],
    "11 teeth apart": [(12, 33), (16, 31), (20, 30), (23, 29), (26, 29), (28, 28)],
    "12 teeth apart": [(13, 37), (18, 32), (21, 31), (25, 33), (29, 33), (31, 29)],
    "13 teeth apart": [(11, 34), (16, 32), (20, 30), (24, 29), (29, 29), (31, 27)],
    "16 teeth apart": [(13, 33), (17, 31), (21, 33), (25, 31), (29, 30), (33, 29)],
}


@pytest.mark.parametrize("name", SIXES)
@pytest.mark.parametrize("distance", [None, 60.0])
def test_boxes_whose_sums_differ_are_not_shut_out(name: str, distance: float | None) -> None:
    """Invented six-speed boxes, printed to three decimals, as stated by default: an answer, and never a sure wrong one.

    Every true pair keeps a chance; where the most probable set is not the true one, it does not claim 80 %.
    """
    counts = SIXES[name]
    rows = [gear(str(place), round(b / a, 3), "rounded or cut off") for place, (a, b) in enumerate(counts)]
    more = {} if distance is None else {"distance": normal(distance, 2)}
    found = weigh(rows, least=10, **more)
    assert found["fits"]
    for place, pair in enumerate(counts):
        assert pairs_of(found, str(place)).get(pair, 0) > 0.004, pair
    truth = ", ".join(f"{place} {a}:{b}" for place, (a, b) in enumerate(counts))
    assert found["set"] == truth or found["set_chance"] < 0.8


def test_a_set_of_twice_the_teeth_does_not_crowd_out_a_small_one() -> None:
    """Ratios of a sum of 70 are those of 140 too, which wheels to 82 teeth split in few ways: the small set, by far."""
    counts = [(29, 41), (31, 39), (33, 37), (37, 33), (39, 31)]
    rows = [gear(str(place), round(b / a, 3)) for place, (a, b) in enumerate(counts)]
    found = weigh(rows, most=82)
    assert found["sum"] == 70
    assert found["set"] == ", ".join(f"{place} {a}:{b}" for place, (a, b) in enumerate(counts))
    assert found["set_chance"] > 0.9
    chances = sum_chances(24, 164, 3.0)
    assert chances[70] / chances[140] == pytest.approx(8)
    assert sum(chances.values()) == pytest.approx(1)


def test_a_gear_off_the_common_sum_is_told() -> None:
    """Four counted gears of 60 teeth and one of 100: P is not 0, and the chance of a gear off the sum is one."""
    counts = [(20, 40), (25, 35), (28, 32), (31, 29), (40, 60)]
    rows = [gear(str(place), 0.0, MEASURED, driver=a, driven=b) for place, (a, b) in enumerate(counts)]
    found = weigh(rows)
    assert found["fits"]
    assert found["off_chance"] == pytest.approx(1)
    assert found["sum"] == 60
    assert weigh(rows[:4])["off_chance"] < 0.02


def test_how_far_a_pair_is_from_the_stated_ratio() -> None:
    """45:27 behind 33:22 is 1.1111; stated as 1.111 that is +0.01 %, and 44:27 is −2.21 % off."""
    rows = [gear("3", 1.111, MEASURED, driven=45), gear("4", 0.0, MEASURED, driver=31, driven=41)]
    found = weigh(rows, beside=[beside("step-up", 33, 22)])
    off = {(row["driving"], row["driven"]): row["off the stated ratio [%]"] for row in found["pairs"]}
    assert off[27, 45] == pytest.approx(100 * (45 / 27 / 1.5 / 1.111 - 1))
    assert off[31, 41] == "not stated"
    assert found["sets"][0]["off the stated ratios [%]"] == "+0.01, not stated"


def test_modules_of_their_own_share_a_distance() -> None:
    """60 teeth of module 2.5 and 75 of 2 both close 75 mm: told so, the sums agree; without it one is off."""
    rows = [
        gear("1", 0.0, MEASURED, driver=20, driven=40),
        gear("2", 0.0, MEASURED, driver=35, driven=40, coarser=0.8),
    ]
    given = {"distance": exact(75.0), "module": exact(2.5), "odd": 0.02, "own": 0.0, "spread": 2}
    found = weigh(rows, **given)
    assert found["off_chance"] < 0.05
    assert found["pairs"][1]["closes with x₁ + x₂"] in ("+0.000", "-0.000")
    assert weigh([one | {"coarser": 1.0} for one in rows], **given)["off_chance"] == pytest.approx(1)
