"""Ring out: which readings prove the looms, and the sheet they are written on.

The path: ``looms`` (the wires with every part unplugged, as a graph), ``unplugging`` (what to unplug first, what good
readings leave unproven), ``measurements`` (what to measure), ``underload`` (feeds under a lamp's load), ``ringsheet``
(the sheet to fill in).
"""
