"""The command line: `witness`."""

import gc

BEFORE_A_LOOK = 100_000


def main() -> None:
    """Run the command line."""
    # A ledger is read into many objects that stay: looking through them for rings as often as is usual takes a fifth
    # of a short command's time.
    gc.set_threshold(BEFORE_A_LOOK)
    try:
        from ledger.cli.app import run

        run()
    except KeyboardInterrupt:
        raise SystemExit(130) from None
