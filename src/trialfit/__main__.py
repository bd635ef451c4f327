"""``python -m trialfit``, the same as the command."""

from trialfit.cli import main

main()
