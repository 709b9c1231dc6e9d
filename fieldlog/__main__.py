"""``python -m fieldlog``: for where the command itself is on no path, as often on Windows."""

from fieldlog.cli.start import main

main()
