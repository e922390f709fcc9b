"""Made-up cars for tests: drawn from a seed, edited from a seed, with the truth kept beside them.

Every car is invented. ``make_car`` draws one, ``mutate`` makes another version of
it and says which row became which, ``vehicle_of`` writes records.
"""

from cars.car import Car, Part, Plug, Strand, netlist_of, vehicle_of
from cars.generate import make_car
from cars.mutate import Mix, Truth, mutate, rename
from cars.scramble import scrambled

__all__ = [
    "Car",
    "Mix",
    "Part",
    "Plug",
    "Strand",
    "Truth",
    "make_car",
    "mutate",
    "netlist_of",
    "rename",
    "scrambled",
    "vehicle_of",
]
