"""The one switch between numpy, where it is there, and the standard library's math.

Formulas import their functions from here and so run on floats, on arrays of draws, and in a browser without numpy.
Branches on arrays are written with `where`, never with `if`.
"""

try:
    import numpy
except ImportError:
    numpy = None

import math

pi = math.pi

if numpy is not None:
    sqrt, sin, cos, tan, atan, acos, asin = (
        numpy.sqrt,
        numpy.sin,
        numpy.cos,
        numpy.tan,
        numpy.arctan,
        numpy.arccos,
        numpy.arcsin,
    )
    exp, log = numpy.exp, numpy.log
    where, minimum, maximum, absolute = numpy.where, numpy.minimum, numpy.maximum, numpy.abs

    def every(condition):
        """Return whether a condition holds on a float or on every draw."""
        return bool(numpy.all(condition))
else:
    sqrt, sin, cos, tan, atan, acos, asin = (
        math.sqrt,
        math.sin,
        math.cos,
        math.tan,
        math.atan,
        math.acos,
        math.asin,
    )
    exp, log = math.exp, math.log
    minimum, maximum, absolute = min, max, abs

    def where(condition, yes, no):
        """Return one of two floats."""
        return yes if condition else no

    def every(condition):
        """Return whether a condition holds."""
        return bool(condition)


def extremes(value):
    """Return the least and the greatest draw of an array, or a float twice; NaN if there is one."""
    same = value == value  # a truth for a float, draws of truths for draws
    return (value, value) if same is True or same is False else (value.min(), value.max())
