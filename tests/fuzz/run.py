"""Fuzz one reader, guided by which of its code each input reaches.

    python -m tests.fuzz.run entry --seconds 60

Needs atheris (`pip install -e '.[tests,fuzz]'`). It begins from `tests/fuzz/corpus/`, which it does not change. Where
it meets a crash it says so, ends with an error, and keeps the input as `crash-…` in the present folder; mended, that
input belongs into the corpus. `--keep FOLDER` collects inputs that reached something new.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

import atheris

CORPUS = Path(__file__).parent / "corpus"

# Only what is imported in here is watched.
with atheris.instrument_imports(include=["ledger", "yaml", "PIL"], enable_loader_override=False):
    from tests.fuzz.targets import TARGETS


def main() -> None:
    """Run as asked."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("target", choices=sorted(TARGETS))
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--runs", type=int, default=-1, help="inputs to try at most; with a seed, the same each time")
    parser.add_argument("--seed", type=int, default=0, help="0: a new one each time")
    parser.add_argument("--keep", type=Path, default=None)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        found = asked.keep or Path(scratch)
        found.mkdir(parents=True, exist_ok=True)
        options = [
            f"-max_total_time={asked.seconds}",
            f"-runs={asked.runs}",
            f"-seed={asked.seed}",
            "-timeout=20",
            "-rss_limit_mb=3000",
            "-max_len=8192",
            "-print_final_stats=1",
        ]
        atheris.Setup([sys.argv[0], *options, str(found), str(CORPUS / asked.target)], TARGETS[asked.target])
        atheris.Fuzz()


if __name__ == "__main__":
    main()
