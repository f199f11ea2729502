"""Leaves functions and rows as they are written here. In the browser `assets/quick.js` stands in this module's place.

There the engine reckons slowly: it looks up anew for every place of a row how two floats add. The script does with
floats, and rows of floats or truths, what the functions and rows say in Python, and leaves everything else to them.
"""

from __future__ import annotations


def quick(name, function):
    """Return the function; in the browser, one that gives the same for floats and rows of them in less time."""
    return function


def rows(kind):
    """Take the class of rows, whose signs are then reckoned by the script in the browser."""
