"""The printed log of a day: page one and the details as views, and the PDF that is made of them."""

from .pdf import log_html, write_log

__all__ = ["log_html", "write_log"]
