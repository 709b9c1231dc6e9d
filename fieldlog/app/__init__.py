"""The Textual app: ``run_app`` in ``fieldlog.app.run`` starts it."""
