"""``python -m fieldlog.cli``: the same as the installed command."""

from fieldlog.cli.main import main

main()
