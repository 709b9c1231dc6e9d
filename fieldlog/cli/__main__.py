"""``python -m fieldlog.cli``: the same as the installed command."""

from fieldlog.cli.start import main

main()
