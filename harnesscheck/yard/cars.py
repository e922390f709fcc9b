"""How the cars of a yard are read, and what of them is kept under which name."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from harnesscheck.model.vehicle import Vehicle
from harnesscheck.read import configure, read_with_remarks
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits
from harnesscheck.yard.cache import key_of


@dataclass(frozen=True, slots=True)
class HowToRead:
    """The limits, and the style of colours where a file does not say its own."""

    limits: Limits = DEFAULT_LIMITS
    colour_code: str | None = None

    def read(self, path: str) -> Vehicle | list[str]:
        """The car of a file; its faults where it cannot be read."""
        netlist, _ = read_with_remarks(path, self.limits, self.colour_code, ())
        return [str(fault) for fault in netlist] if isinstance(netlist, list) else configure(netlist)

    def key(self, *parts: str | None) -> str | None:
        """The name in the cache of what is made of files so read; None where one of them is not kept."""
        known = [part for part in parts if part is not None]
        return key_of(*known, repr((asdict(self.limits), self.colour_code))) if len(known) == len(parts) else None


PLAINLY = HowToRead()
