"""Two cars' wiring harnesses, compared contact by contact.

The names below are what programs may rely on: a function a question, a command's
answer as an object. Each is loaded when it is asked for, so that importing the
package stays light.

>>> import harnesscheck as hc
>>> found = hc.compare("harness_demo/plug-donor.csv", "harness_demo/plug-shell.csv")
>>> found.findings[0].severity is hc.Severity.INJURY
True

Some functions are called like a folder of the package (``compare``, ``read``). The
name always means the function, whatever was imported before; modules inside such
a folder are imported by their full names, as ever::

    from harnesscheck.compare.finding.kinds import Severity
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from harnesscheck.align.engine import align as align_cars
    from harnesscheck.api.car import Car, assemble, configure, read
    from harnesscheck.api.compare import compare
    from harnesscheck.api.decide import decide
    from harnesscheck.api.draw import draw
    from harnesscheck.api.faults import InputError
    from harnesscheck.api.find import find
    from harnesscheck.api.identify import identify
    from harnesscheck.api.loads import loads
    from harnesscheck.api.reading import Reading
    from harnesscheck.api.ringout import ringout
    from harnesscheck.api.sheets import sheets
    from harnesscheck.api.states import states
    from harnesscheck.api.trace import trace
    from harnesscheck.api.which import which
    from harnesscheck.compare.doubtful import doubts as doubts_of
    from harnesscheck.compare.finding.findings import Finding
    from harnesscheck.compare.finding.kinds import Certainty, Severity
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read.swap import read_swap

__version__ = "0.1.0"

_PLACES = {  # public name: the module that holds it, and its name there
    "Behaviour": ("network.behaviour.states", "Behaviour"),
    "Car": ("api.car", "Car"),
    "Certainty": ("compare.finding.kinds", "Certainty"),
    "Finding": ("compare.finding.findings", "Finding"),
    "InputError": ("api.faults", "InputError"),
    "Reading": ("api.reading", "Reading"),
    "Severity": ("compare.finding.kinds", "Severity"),
    "Study": ("network.graph.sides", "Study"),
    "align_cars": ("align.engine", "align"),
    "assemble": ("api.car", "assemble"),
    "compare": ("api.compare", "compare"),
    "configure": ("api.car", "configure"),
    "decide": ("api.decide", "decide"),
    "doubts_of": ("compare.doubtful", "doubts"),
    "draw": ("api.draw", "draw"),
    "find": ("api.find", "find"),
    "identify": ("api.identify", "identify"),
    "loads": ("api.loads", "loads"),
    "read": ("api.car", "read"),
    "read_swap": ("read.swap", "read_swap"),
    "ringout": ("api.ringout", "ringout"),
    "sheets": ("api.sheets", "sheets"),
    "states": ("api.states", "states"),
    "trace": ("api.trace", "trace"),
    "which": ("api.which", "which"),
}

__all__ = [
    "Behaviour",
    "Car",
    "Certainty",
    "Finding",
    "InputError",
    "Reading",
    "Severity",
    "Study",
    "__version__",
    "align_cars",
    "assemble",
    "compare",
    "configure",
    "decide",
    "doubts_of",
    "draw",
    "find",
    "identify",
    "loads",
    "read",
    "read_swap",
    "ringout",
    "sheets",
    "states",
    "trace",
    "which",
]


class _Package(ModuleType):
    """The package as a module whose public names are never hidden by a folder that is called the same.

    Python makes a folder, once imported, an attribute of its package. Here that is left out where a public name is
    meant; ``sys.modules`` has the folder all the same, and imports look there.
    """

    def __getattr__(self, name: str) -> object:
        """Load a public name. Raises AttributeError for any other."""
        if name not in _PLACES:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        module, attribute = _PLACES[name]
        found = getattr(import_module(f"{__name__}.{module}"), attribute)
        super().__setattr__(name, found)
        return found

    def __setattr__(self, name: str, value: object) -> None:
        """Set an attribute, except a folder in a public name's place."""
        if not (name in _PLACES and isinstance(value, ModuleType)):
            super().__setattr__(name, value)

    def __dir__(self) -> list[str]:
        """What is there, and what would be loaded."""
        return sorted({*super().__dir__(), *__all__})


sys.modules[__name__].__class__ = _Package
