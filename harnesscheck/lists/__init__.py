"""Lists that a person ticks, and what is looked up for them; the decision and the bench both fill some.

``listtable`` (a list as data), ``plugs`` (every plug once, with its flag), ``looseends`` (where wires end in nothing),
``deadwires`` (wires that serve nothing), ``firstreadings`` (what is measured after the work), ``checklists`` (the four
lists of one car).
"""
