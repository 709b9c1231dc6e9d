"""What leaves the truck: summaries, letters, records, calendars, charts.

A paper is built once as a ``Document`` and then written as HTML, PDF or plain text. Papers only
carry what was saved about the horses they are for; no other client ever appears on one.
"""
