"""A withdrawal written into an entry's own file, every other byte left as it is."""

from __future__ import annotations

from ledger.entries.writing import write


def withdrawn_text(text: str, reason: str) -> str:
    """Return an entry's text with `withdrawn: reason` as the last line of its front matter.

    An older `withdrawn` line of one line is replaced. The text must have been read without faults.
    """
    end = "\r\n" if text.startswith("---\r\n") else "\n"
    line = write({"withdrawn": " ".join(reason.split())}, "").split("\n")[1]
    front, fence, rest = text.partition(f"{end}---{end}")
    if not fence:
        front, fence, rest = text.removesuffix(f"{end}---"), f"{end}---", ""
    kept = [each for each in front.split(end) if not each.startswith("withdrawn:")]
    return end.join([*kept, line]) + fence + rest
