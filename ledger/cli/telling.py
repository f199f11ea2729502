"""What a person sees when something is wrong."""

from __future__ import annotations

from rich.console import Console

from ledger.errors import FaultsFound, WitnessError

errors = Console(stderr=True, soft_wrap=True, highlight=False)


def tell(error: WitnessError, after: str = "nothing was changed") -> None:
    """Print an error; faults one by one with their place, what was given, what was expected and how to mend it."""
    if not isinstance(error, FaultsFound):
        errors.print(str(error), style="red", markup=False)
        return
    for fault in error.faults:
        place = f"{fault.file}:{fault.line}" if fault.line else fault.file
        errors.print(f"{place}  {fault.field}".rstrip(), style="bold", markup=False)
        for label, words in (("given", fault.given), ("expected", fault.expected), ("mend", fault.remedy)):
            errors.print(f"    {label:<9} {words}", markup=False)
    count = len(error.faults)
    errors.print(f"{count} fault{'s' if count > 1 else ''}; {after}.", style="red", markup=False)
