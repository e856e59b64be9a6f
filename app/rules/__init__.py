"""The rules: facts in, verdicts out. Nothing here knows a web page, a database or what time it is."""
