"""The plan: limits as data with date and source, what a site sets on top, and adopting it."""
