"""What people's own words beside a wire mean, in many languages. Ask here and nowhere else."""

from harnesscheck.trade.lexicon.hazards import HIGH_VOLTAGE, RESTRAINT, hazards_in

__all__ = ["HIGH_VOLTAGE", "RESTRAINT", "hazards_in"]
