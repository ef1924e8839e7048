"""The command as `python -m simkit`."""

from simkit.cli import main

main()
