"""Forecasts: about when, with a range, never a verdict."""
