"""Files in: netlists, swap sheets, and the vehicle a netlist describes.

``read_netlist`` reads any of the forms, ``configure`` makes a vehicle of what it
gives, ``read_swap`` reads a swap sheet.
"""

from harnesscheck.read.any import read_netlist, read_with_remarks
from harnesscheck.read.configure import configure
from harnesscheck.read.limits import DEFAULT_LIMITS, Limits

__all__ = ["DEFAULT_LIMITS", "Limits", "configure", "read_netlist", "read_with_remarks"]
