"""Readings taken at the car: what they show, and which faults explain them."""
