"""The command line: `witness`."""


def main() -> None:
    """Run the command line."""
    try:
        from ledger.cli.app import run

        run()
    except KeyboardInterrupt:
        raise SystemExit(130) from None
