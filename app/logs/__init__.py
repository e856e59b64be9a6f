"""The daily log: its words, its charts and the printed PDF."""

from .pdf import log_html, write_log

__all__ = ["log_html", "write_log"]
