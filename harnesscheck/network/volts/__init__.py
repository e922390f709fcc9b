"""One car as a direct-current circuit: its resistances, its solution, the ways its currents take."""
