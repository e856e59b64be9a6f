"""The stages of checking, from the second on."""
