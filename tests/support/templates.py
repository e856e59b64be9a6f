"""Templates compiled once a worker: each test makes an app of its own, whose templates are the same."""

from types import CodeType

from jinja2 import BytecodeCache
from jinja2.bccache import Bucket


class CompiledOnce(BytecodeCache):
    """Keeps the code of a template for the next app; a changed template is compiled anew."""

    def __init__(self) -> None:
        self._codes: dict[tuple[str, str], CodeType | None] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Give the bucket the code that was compiled of the same source."""
        bucket.code = self._codes.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep the code."""
        self._codes[bucket.key, bucket.checksum] = bucket.code


compiled = CompiledOnce()
