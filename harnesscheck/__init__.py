"""Two cars' wiring harnesses, compared contact by contact.

The names below are what programs may rely on. Each is loaded when it is asked for, so
that importing the package stays light. None is called like one of the folders.

>>> import harnesscheck
>>> harnesscheck.Severity.INJURY.word
'injury'
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from harnesscheck.align.engine import align as align_cars
    from harnesscheck.align.identify import identify as identify_plug
    from harnesscheck.assemble.assemble import assembly as assemble_car
    from harnesscheck.bench.ringout.measurements import ring_out
    from harnesscheck.bench.trace.trace import trace as trace_target
    from harnesscheck.compare.built import compare_built
    from harnesscheck.compare.carries.loads import loads_of
    from harnesscheck.compare.compare import compare as compare_cars
    from harnesscheck.compare.doubtful import doubts as doubts_of
    from harnesscheck.compare.finding.findings import Finding
    from harnesscheck.compare.finding.kinds import Certainty, Severity
    from harnesscheck.decide.decide import decide as decide_swap
    from harnesscheck.draw.targets import draw_target
    from harnesscheck.network.behaviour.states import Behaviour
    from harnesscheck.network.graph.sides import Study
    from harnesscheck.read.any import read_netlist
    from harnesscheck.read.configure import configure
    from harnesscheck.read.swap import read_swap

__version__ = "0.1.0"

_PLACES = {  # public name: the module that holds it, and its name there
    "Behaviour": ("network.behaviour.states", "Behaviour"),
    "Certainty": ("compare.finding.kinds", "Certainty"),
    "Finding": ("compare.finding.findings", "Finding"),
    "Severity": ("compare.finding.kinds", "Severity"),
    "Study": ("network.graph.sides", "Study"),
    "align_cars": ("align.engine", "align"),
    "assemble_car": ("assemble.assemble", "assembly"),
    "compare_built": ("compare.built", "compare_built"),
    "compare_cars": ("compare.compare", "compare"),
    "configure": ("read.configure", "configure"),
    "decide_swap": ("decide.decide", "decide"),
    "doubts_of": ("compare.doubtful", "doubts"),
    "draw_target": ("draw.targets", "draw_target"),
    "identify_plug": ("align.identify", "identify"),
    "loads_of": ("compare.carries.loads", "loads_of"),
    "read_netlist": ("read.any", "read_netlist"),
    "read_swap": ("read.swap", "read_swap"),
    "ring_out": ("bench.ringout.measurements", "ring_out"),
    "trace_target": ("bench.trace.trace", "trace"),
}

__all__ = [
    "Behaviour",
    "Certainty",
    "Finding",
    "Severity",
    "Study",
    "__version__",
    "align_cars",
    "assemble_car",
    "compare_built",
    "compare_cars",
    "configure",
    "decide_swap",
    "doubts_of",
    "draw_target",
    "identify_plug",
    "loads_of",
    "read_netlist",
    "read_swap",
    "ring_out",
    "trace_target",
]


def __getattr__(name: str) -> object:
    """Load a public name. Raises AttributeError for any other."""
    if name not in _PLACES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    module, attribute = _PLACES[name]
    return getattr(import_module(f"{__name__}.{module}"), attribute)
