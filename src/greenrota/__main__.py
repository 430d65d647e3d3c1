"""`greenrota` and `python -m greenrota` begin here."""

import sys

INTERRUPTED = 130  # shell convention: 128 + signal 2


def main() -> None:
    """Run the command line. An interrupt while it is still being loaded ends as quietly as a later one."""
    try:
        from greenrota.cli.main import main as run

        run()
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


if __name__ == "__main__":
    main()
