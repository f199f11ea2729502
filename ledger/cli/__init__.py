"""The command line: `witness`."""


def main() -> None:
    """Run the command line."""
    from ledger.cli.app import run

    run()
