"""The command line: the whole of fieldlog without the app, and the demo."""
