"""The command line: `witness`."""

import gc
import io
import sys

BEFORE_A_LOOK = 100_000


def main() -> None:
    """Run the command line."""
    # A ledger is read into many objects that stay: looking through them for rings as often as is usual takes a fifth
    # of a short command's time.
    gc.set_threshold(BEFORE_A_LOOK)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that cannot write ± must not end the command
    try:
        from ledger.cli.app import run

        run()
    except KeyboardInterrupt:
        raise SystemExit(130) from None
    finally:
        # All that is left goes with the process: to look through it for rings once more takes a tenth of a second.
        gc.freeze()
