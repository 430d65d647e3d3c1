"""`python -m greenrota` is the same as `greenrota`."""

from greenrota.cli.main import main

main()
