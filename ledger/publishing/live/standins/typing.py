"""Stands in for typing, which nothing needs while it runs."""

from __future__ import annotations

Any = object
TYPE_CHECKING = False
