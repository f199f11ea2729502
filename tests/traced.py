"""A small invented ledger with decisions on top: what they stand on can be revised, withdrawn and computed anew."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from ledger.casebook.items import Item
from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.values import Casebook
from ledger.entries.models import FOLDERS, MODELS
from ledger.entries.withdrawing import withdrawn_text
from ledger.entries.writing import write
from ledger.store.engine import Store, open_store
from ledger.store.posting import post
from tests import fragile
from tests.ledger_files import put
from tests.toys import TOYS

KINDS = {folder: kind for kind, folder in FOLDERS.items()}
FIRST, LATER = "2031-05-17T09:00:00Z", "2031-06-01T09:00:00Z"
PEOPLE = {"first": "B. Fitter", "other": "b.  fitter", "third": "C. Lookeron"}


def _decision(title: str, grounds: list[str], **more: Any) -> dict[str, Any]:
    said = {"kind": "decision", "title": title, "choice": "So it is made.", "grounds": grounds, "taken": "2031-05-17"}
    return {**said, **{key.replace("_", "-"): value for key, value in more.items()}}


def fronts() -> dict[str, dict[str, Any]]:
    """Return the front matter of every entry by ref: the fragile ledger, with authors and five decisions."""
    said = fragile.fronts()
    for name, author in PEOPLE.items():
        said[f"sources/{name}"] = {**said[f"sources/{name}"], "author": author}
    return {
        **said,
        "precedents/reel": {
            "kind": "precedent", "title": "A reel", "standing": "in-use", "from": 1931, "traits": ["round"],
            "example-of": ["drum"], "source": "idle",
        },
        "decisions/a-drum": _decision(
            "The model gets a drum",
            ["hypotheses/drum", "evidence/groove", "calculations/b-on-a"],
            least_confidence={"drum": 0.3},
        ),
        "decisions/b-width": _decision(
            "Ten wide",
            ["measurements/width", "sources/other"],
            quotes=[
                {"of": "measurements/width", "said": "10 ± 1 mm"},
                {"of": "calculations/c-alone#area", "said": "30 ± 3 mm²"},
            ],
        ),
        "decisions/c-pipe": _decision("A pipe", ["hypotheses/pipe", "calculations/c-alone"]),
        "decisions/d-on-a": _decision("As the drum is", ["decisions/a-drum", "evidence/ring"]),
        "decisions/e-lid": _decision("Screws", ["questions/lid"], least_confidence={"screws": "0.4..0.6"}),
    }  # fmt: skip


def items(said: Mapping[str, Mapping[str, Any]]) -> dict[str, Item]:
    """Return entries as a casebook holds them, in order of ref."""
    made = {}
    for ref, front in sorted(said.items()):
        folder, name = ref.split("/")
        made[ref] = Item(ref, KINDS[folder], name, MODELS[KINDS[folder]].model_validate(front), "", 1)
    return made


def lay_out(root: Path, said: Mapping[str, Mapping[str, Any]] | None = None) -> Store:
    """Post the ledger into a folder; return its store."""
    put(root / "entries", {ref: write(front, "Invented.\n") for ref, front in (said or fronts()).items()})
    store = open_store(root / STORE)
    post(store, root / "entries", FIRST)
    return store


def revise(root: Path, files: Mapping[str, Mapping[str, Any] | str], at: str = LATER) -> None:
    """Write entries anew, as front matter or as whole texts, and post them."""
    texts = {ref: one if isinstance(one, str) else write(one, "Invented.\n") for ref, one in files.items()}
    put(root / "entries", texts)
    post(open_store(root / STORE), root / "entries", at)


def withdraw(root: Path, refs: Iterable[str], at: str = LATER) -> None:
    """Withdraw entries and post that."""
    for ref in refs:
        path = root / "entries" / f"{ref}.md"
        path.write_text(withdrawn_text(path.read_text("utf-8"), "Not what it seemed."), "utf-8")
    post(open_store(root / STORE), root / "entries", at)


def copy(root: Path, to: Path) -> Path:
    """Return a copy of the ledger."""
    return Path(shutil.copytree(root, to))


def opened(root: Path) -> Casebook:
    """Return the casebook of such a ledger."""
    return open_casebook(root, register=TOYS, count=fragile.COUNT)
