"""What stands in a PDF, written once: WeasyPrint's writer would write and compress all of it twice."""

from typing import Any


def write_each_once(_document: object, pdf: Any) -> None:
    """Put in each object's place what it says; called by WeasyPrint when the file is complete but for its end.

    PDF/A wants an identifier of the file. It is a hash over all objects, for which pydyf asks each for its bytes, and
    then asks again to write them. The file is the same to the byte. Can go once pydyf keeps them itself.
    """
    pdf.objects = [one if one.free == "f" else _Written(one) for one in pdf.objects]


class _Written:
    """An object of a PDF as its bytes: what pydyf.PDF.write() reads of one."""

    __slots__ = ("compressible", "data", "free", "generation", "number", "offset")

    def __init__(self, one: Any) -> None:
        self.number, self.generation, self.offset, self.free = one.number, one.generation, one.offset, one.free
        self.compressible: bool = one.compressible
        self.data: bytes = one.data

    @property
    def indirect(self) -> bytes:
        """Give it with its number around it, as it stands in the file."""
        return f"{self.number} {self.generation} obj\n".encode() + self.data + b"\nendobj"
