"""Kill the program at random moments of what writes, and see that nothing is lost and nothing is half done.

    python -m tests.endurance.kill_rounds --rounds 500

The rounds are shared out evenly among the deeds. After each the ledger is opened and verified, and the folder must
stand as before the deed, as after it, or as the deed says that it may stand until it is done again; then it is done
again undisturbed and must come to the same end. On the first round that fails its folder is kept and named, with the
seed.
"""

from __future__ import annotations

import argparse
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.endurance.deeds import Deed, State, named
from tests.endurance.stopping import counted, done, measured, stopped


class Broken(Exception):
    """A round that failed."""


def rounds(deed: Deed, count: int, chance: random.Random, top: Path) -> Counter[str]:
    """Run so many rounds of a deed; return how often it was found undone, begun and done. Raises Broken."""
    template, work = top / f"{deed.name}-before", top / deed.name
    deed.lay_out(template)
    before = deed.state(template)
    shutil.copytree(template, work, symlinks=True)
    deed.do(work)
    after = deed.state(work)
    assert before != after, f"{deed.name} changes nothing"
    lengths = []
    for measure in (measured, lambda act: counted(act, lengths[0].seconds)):
        anew(template, work)
        lengths.append(measure(lambda: deed.do(work)))
    found: Counter[str] = Counter()
    for number in range(count):
        anew(template, work)
        killed = stopped(lambda: deed.do(work), lengths[1], chance, by_time=number % 2 == 0)
        try:
            outcome = outcome_of(deed, work, before, after)
            if not killed and outcome != "done":
                raise AssertionError(f"came to its end, and is found {outcome}")
            if outcome != "done":
                done(lambda: deed.do(work))
                again = outcome_of(deed, work, before, after)
                assert again == "done", f"is {again} after it was done again"
        except Exception as error:
            raise Broken(f"{deed.name}, round {number + 1}: {error}\nThe folder is kept: {work}") from error
        found[outcome if killed else "not reached"] += 1
    return found


def anew(template: Path, work: Path) -> None:
    """Lay the folder out again as it was before."""
    shutil.rmtree(work)
    shutil.copytree(template, work, symlinks=True)


def outcome_of(deed: Deed, work: Path, before: State, after: State) -> str:
    """Return how a folder is found: undone, done or begun. AssertionError where it stands as it never may."""
    state = deed.state(work)
    if state == before:
        return "undone"
    if state == after:
        return "done"
    if deed.begun(state, before, after):
        return "begun"
    raise AssertionError(f"stands as it never may:\n{_told(state, before, after)}")


def _told(state: State, before: State, after: State) -> str:
    """Return each part of a state with how it compares, and of files those that are neither old nor new."""
    lines = []
    for part, old, new in zip(state, before, after, strict=True):
        how = "old" if part == old else "new" if part == new else "neither"
        lines.append(f"{how}: {part}" if isinstance(part, str) else how)
        if how == "neither" and isinstance(part, tuple):
            lines += [f"    missing {one}" for one in sorted(set(map(str, (*old, *new))) - set(map(str, part)))[:9]]
            lines += [f"    strange {one}" for one in sorted(set(map(str, part)) - set(map(str, (*old, *new))))[:9]]
    return "\n".join(lines)


def main() -> int:
    """Run as asked and print what was found; 1 where a round failed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=500)
    parser.add_argument("--seed", type=int, default=None, help="a number that gives the same choices again")
    parser.add_argument("deeds", nargs="*", help="some of the deeds, by name; without any, all")
    asked = parser.parse_args()
    seed = random.SystemRandom().randrange(10**6) if asked.seed is None else asked.seed
    print(f"seed {seed}", flush=True)
    deeds = named(asked.deeds)
    top = Path(tempfile.mkdtemp(prefix="kill-rounds-"))
    for place, deed in enumerate(deeds):
        count = asked.rounds // len(deeds) + (place < asked.rounds % len(deeds))
        begun = time.perf_counter()
        try:
            found = rounds(deed, count, random.Random(f"{seed} {deed.name}"), top)
        except Broken as broken:
            print(f"FAILED with seed {seed}: {broken}")
            return 1
        told = ", ".join(f"{found[name]} {name}" for name in ("undone", "begun", "done", "not reached"))
        print(f"{deed.name:<9} {count:>4} rounds: {told}  ({time.perf_counter() - begun:.0f} s)", flush=True)
    shutil.rmtree(top)
    print(f"{asked.rounds} rounds, nothing lost and nothing half done.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
