"""Files of script joined to one."""

from __future__ import annotations

from collections.abc import Iterable
from importlib.resources import files
from importlib.resources.abc import Traversable

SHARED = files("ledger.publishing.scripting") / "make.js"


def joined(folder: Traversable, names: Iterable[str]) -> bytes:
    """Return scripts of a folder as one, `make` before them: a page opened by double click may load no modules.

    names  of the files without `.js`, in their order
    """
    texts = (one.read_text(encoding="utf-8").strip() for one in (SHARED, *(folder / f"{name}.js" for name in names)))
    return ('(() => {\n"use strict"\n' + "\n\n".join(texts) + "\n})()\n").encode()
