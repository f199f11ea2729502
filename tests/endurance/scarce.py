"""Do what writes where there is no room, or where nothing may be written, and see that nothing is lost.

    python -m tests.endurance.scarce

Each deed is done with files limited to a size (a full disc to whoever writes), in steps from nothing to enough, and in
a folder that may only be read. It must end by itself, with a word on the place or the free space and no traceback; the
folder must stand as it may; and once there is room the deed must come to its end.
"""

from __future__ import annotations

import os
import resource
import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from tests.endurance.deeds import Deed, named
from tests.endurance.kill_rounds import anew, outcome_of

# SQLite's shared index takes 32 kB at once; the ledger of the rounds has about 80 kB.
LIMITS = (0, 4_000, 34_000, 60_000, 120_000)
NOBODY = 65534
WORDS = ("free space", "permissions", "protected", "where you may write")


def told(deed: Callable[[], object], most: int | None = None, nobody: bool = False) -> tuple[int, str]:
    """Do the deed in a process of its own under a limit, or as somebody without rights; return its code and words."""
    reading, writing = os.pipe()
    process = os.fork()
    if not process:
        code = 70
        try:
            os.dup2(writing, 2)
            if most is not None:
                resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
            if nobody and os.geteuid() == 0:
                os.setegid(NOBODY)
                os.seteuid(NOBODY)
            deed()
            code = 0
        except AssertionError:
            code = 1
        finally:
            os._exit(code)
    os.close(writing)
    with os.fdopen(reading) as said:
        words = said.read()
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]), words


def _hidden(folder: Path) -> list[str]:
    return [one.name for one in folder.rglob(".*")]


def scarce(deed: Deed, top: Path) -> str:
    """Do a deed under every limit and in a protected folder; return how it was found, or raise AssertionError."""
    template, work = top / f"{deed.name}-before", top / deed.name
    deed.lay_out(template)
    before = deed.state(template)
    shutil.copytree(template, work)
    deed.do(work)
    after = deed.state(work)
    found = []
    for most in LIMITS:
        anew(template, work)
        code, words = told(lambda: deed.do(work), most)
        found.append(_checked(deed, work, (before, after), f"with files of at most {most} bytes", code, words))
    anew(template, work)
    for one in (work, *work.rglob("*")):
        one.chmod(0o555 if one.is_dir() else 0o444)
    code, words = told(lambda: deed.do(work), nobody=True)
    for one in (work, *work.rglob("*")):
        one.chmod(0o755 if one.is_dir() else 0o644)
    found.append(_checked(deed, work, (before, after), "in a protected folder", code, words))
    return f"{deed.name:<9} {', '.join(found)}"


def _checked(deed: Deed, work: Path, ends: tuple[tuple[object, ...], ...], where: str, code: int, words: str) -> str:
    where = f"{deed.name} {where}"
    outcome = outcome_of(deed, work, *ends)
    assert code in (0, 1), f"{where} ended with {code}: {words}"
    assert (code == 0) <= (outcome == "done"), f"{where} said that it was done, and is {outcome}"
    assert "Traceback" not in words, f"{where} said {words}"
    assert code == 0 or any(each in words for each in WORDS), f"{where} did not say what to do: {words}"
    assert not _hidden(work), f"{where} left {_hidden(work)}"
    if outcome != "done":
        deed.do(work)
        again = outcome_of(deed, work, *ends)
        assert again == "done", f"{where} is {again} after it was done again"
    return outcome


def main() -> int:
    """Run as asked and print what was found; 1 where a deed failed."""
    top = Path(tempfile.mkdtemp(prefix="scarce-"))
    top.chmod(0o755)
    for deed in named(
        sys.argv[1:] or ["post", "withdraw", "erase", "accept", "migrate", "backup", "restore", "export"]
    ):
        try:
            print(scarce(deed, top), flush=True)
        except AssertionError as error:
            print(f"FAILED: {error}\nThe folder is kept: {top / deed.name}")
            return 1
    shutil.rmtree(top)
    print("Nothing was lost for want of room or leave.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
