"""What must stay together on paper: headings and tables of a document, by the text that it is set from."""

import html
import re

from tests.support import reading_pdf


def headings(text: str) -> set[str]:
    """Give every heading, and every row of column heads, as it is printed."""
    found = re.findall(r"<h[1-3][^>]*>(.*?)</h[1-3]>|<th scope=\"col[^>]*>(.*?)</th>|<thead><tr>(.*?)</tr>", text)
    return {" ".join(html.unescape(re.sub(r"<[^>]*>", " ", part)).split()) for parts in found for part in parts if part}


def tables(text: str) -> list[tuple[int, int]]:
    """Give for each table the rows of its head and those of its body."""
    found = re.findall(r"<table.*?</table>", text, re.DOTALL)
    heads = [table.partition("</thead>")[0].count("<tr") if "</thead>" in table else 0 for table in found]
    return [(head, table.count("<tr") - head) for head, table in zip(heads, found, strict=True)]


def fewest_rows_together(text: str, pdf: bytes) -> int:
    """Give the fewest rows that stand together of a table that could have more of them on that page."""
    fragments, fewest = iter(reading_pdf.rows_of_fragments(pdf)), 99
    for head, rows in tables(text):
        left = rows
        while left > 0:
            here = next(fragments)[0] - head
            fewest = min(fewest, here if here < rows else 99)
            left -= here
    return fewest
