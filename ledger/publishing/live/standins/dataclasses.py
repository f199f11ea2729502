"""Stands in for dataclasses: frozen values with named fields in their order, and no more."""

from __future__ import annotations


def dataclass(made=None, **options):
    """Return a class whose fields are what it annotates, given in that order or by name."""

    def fielded(kind):
        names = list(kind.__annotations__)

        def __init__(self, *given, **named):
            values = dict(zip(names, given, strict=False))
            values.update(named)
            for name in names:
                if name in values:
                    setattr(self, name, values.pop(name))
                elif not hasattr(kind, name):
                    raise TypeError(f"{kind.__name__} needs {name}")
            if values or len(given) > len(names):
                raise TypeError(f"{kind.__name__} has no {', '.join(values) or 'so many fields'}")

        kind.__init__ = __init__
        return kind

    return fielded(made) if made is not None else fielded
