"""The daily log: its words, its charts and the printed PDF."""

from . import plan
from .blank_form import write_blank_form
from .paper import log_html, write_log

__all__ = ["log_html", "plan", "write_blank_form", "write_log"]
