"""What is never touched from our lists: restraint and high-voltage wiring, said once for one car and asked by all.

A *mark* says of a contact, a part, a plug or a net that it is restraint or high
voltage, whether that is known or only suspected, and why: the file's class or
system, the words beside it, a colour at a place, or being joined to such a part.

A mark goes along a net as far as it goes, through plugs, splices and joints
inside parts, whichever end a wire is written at. It ends at the fuse, at the
ground, where a feed or a data line is shared with ordinary parts, and at an
ordinary part: of these the contact alone is marked. A part all of whose signals
are marked is one of the set itself. The plug that holds such a contact beside
ordinary ones is *shared*: nobody but the licensed person opens it.
"""

from harnesscheck.network.hands_off.judge import HandsOff, is_marked
from harnesscheck.network.hands_off.marks import HAZARDS, Mark, Marks, together

__all__ = ["HAZARDS", "HandsOff", "Mark", "Marks", "is_marked", "together"]
