"""`/patterns`: every part of the pages on one page, in its states, for those who build and review them."""
