"""Follow a circuit from a target up to its feed and down to its ground.

The path: ``targets`` (what a name means), ``conditions`` and ``lighting`` (the state in which its load works),
``ways`` (the elements walked along), ``spots`` (where a probe is put), ``trace`` (every step with its volts),
``orphans`` (of a way that ends: is it live, what was it), ``swapped`` (of a car put together: whose element, what
was found done to it); ``elementwords`` says an element as what may be broken.
"""
