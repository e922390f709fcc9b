"""From a complaint to a plan of measurements."""
