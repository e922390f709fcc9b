"""Readings taken at the car: what they show, and which faults explain them.

The path: ``filled`` (the sheet read back), ``loomfaults`` (what a fault would make it show), ``explanations`` (the
fewest faults that explain it), ``nextreading`` (the reading that splits them), ``causewords`` (both in words).
"""
