"""From a complaint to a plan of measurements.

The path: ``symptoms`` (which plan for which complaint), ``chain`` (every element of a trace broken in turn and
solved), ``orders`` (the order of measurements with the least effort), ``breaks`` (dead, dim), ``shorts`` (always on,
blows a fuse), ``drains`` and ``charging``; each gives a tree of questions (``plans``).
"""

SYMPTOMS = ("dead", "dim", "always-on", "blows-fuse", "drains", "charge")
"""The complaints there are plans for; here, where a command line finds them without importing a plan."""
