"""What happens when one side of a plug faces another: the table, and the rules around it.

The table is entered with what the retained side brings itself (row) and what it
would face (column), each with the plug apart. It is asked only once the two cars
are known to differ there; a cell says how bad that is at worst. The order of rows
and columns is that of ``Label``.

A row for an empty or open donor side asks what the shell has there instead.
"""

from __future__ import annotations

from harnesscheck.compare.finding.kinds import KindName, MaybeKind, Trait, kinds_of
from harnesscheck.network.graph.reach import Reached, together
from harnesscheck.network.graph.sides import FEEDS, NOTHING, STEADY_FEEDS, Label, Side

_WORDS: dict[str, MaybeKind] = {
    "fg": "feed-to-ground",
    "fs": "feed-on-signal",
    "oj": "outputs-joined",
    "fj": "feeds-joined",
    "sg": "signal-grounded",
    "cr": "crossed",
    "mc": "missing-circuit",
    "gl": "ground-lost",
    "or": "orphaned",
    "sp": "spare",
    "xc": "extra-circuit",
    "ra": "restraint-altered",
    "nd": "not-documented",
    "..": "",
}

# fmt: off
_TABLE = """
                  per acc run sta fee out low gro swg ref srt sig dat inp sup ret loa con ope emp res n/k
permanent         fj  fj  fj  fj  fj  fj  fs  fg  fg  fs  fs  fs  fs  fs  cr  cr  cr  cr  or  or  ra  nd
accessory         fj  fj  fj  fj  fj  fj  fs  fg  fg  fs  fs  fs  fs  fs  cr  cr  cr  cr  or  or  ra  nd
run               fj  fj  fj  fj  fj  fj  fs  fg  fg  fs  fs  fs  fs  fs  cr  cr  cr  cr  or  or  ra  nd
start             fj  fj  fj  fj  fj  fj  fs  fg  fg  fs  fs  fs  fs  fs  cr  cr  cr  cr  or  or  ra  nd
feed              fj  fj  fj  fj  fj  fj  fs  fg  fg  fs  fs  fs  fs  fs  cr  cr  cr  cr  or  or  ra  nd
output            fj  fj  fj  fj  fj  oj  oj  sg  sg  oj  cr  cr  cr  cr  cr  cr  cr  cr  mc  mc  ra  nd
low-side          fs  fs  fs  fs  fs  oj  oj  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  mc  mc  ra  nd
ground            fg  fg  fg  fg  fg  sg  cr  cr  cr  sg  sg  sg  sg  sg  cr  cr  cr  cr  or  or  ra  nd
switched-ground   fg  fg  fg  fg  fg  sg  cr  cr  cr  sg  sg  sg  sg  sg  cr  cr  cr  cr  mc  mc  ra  nd
reference         fs  fs  fs  fs  fs  oj  cr  sg  sg  cr  cr  cr  cr  cr  cr  cr  cr  cr  mc  mc  ra  nd
sensor-return     fs  fs  fs  fs  fs  cr  cr  sg  sg  cr  cr  cr  cr  cr  cr  cr  cr  cr  mc  mc  ra  nd
signal            fs  fs  fs  fs  fs  cr  cr  sg  sg  cr  cr  cr  cr  cr  cr  cr  cr  cr  mc  mc  ra  nd
data              fs  fs  fs  fs  fs  cr  cr  sg  sg  cr  cr  cr  cr  cr  cr  cr  cr  cr  mc  mc  ra  nd
input             fs  fs  fs  fs  fs  cr  cr  sg  sg  cr  cr  cr  cr  mc  mc  mc  mc  cr  mc  mc  ra  nd
supply            cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  mc  mc  mc  mc  cr  mc  mc  ra  nd
return            cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  mc  mc  gl  mc  cr  gl  gl  ra  nd
load              cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  mc  mc  mc  mc  cr  mc  mc  ra  nd
contact           cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  cr  mc  mc  ra  nd
open              xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  ..  ..  ra  nd
empty             xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  xc  sp  ..  ra  nd
restraint         ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra  ra
not-known         nd  nd  nd  nd  nd  nd  nd  nd  nd  nd  nd  nd  nd  nd  nd  nd  nd  nd  nd  nd  ra  ..
"""
# fmt: on


def _read(table: str) -> dict[tuple[Label, Label], MaybeKind]:
    rows = [line.split()[1:] for line in table.strip().splitlines()[1:]]
    return {(own, faced): _WORDS[rows[i][j]] for i, own in enumerate(Label) for j, faced in enumerate(Label)}


FACING: dict[tuple[Label, Label], MaybeKind] = _read(_TABLE)
"""Kind by (label of the retained side, label of what it faces); "" is nothing to say."""

GROUNDS = frozenset({Label.GROUND, Label.SWITCHED_GROUND})
CONSUMERS = frozenset({Label.SUPPLY, Label.LOAD, Label.CONTACT, Label.RETURN, Label.INPUT})
_PASSIVE = CONSUMERS | {Label.OPEN}
_LIVES_ON_A_FEED = CONSUMERS | {Label.SIGNAL}  # a sensor's contact of which nobody says what it is for
RANK: tuple[MaybeKind, ...] = (
    "restraint-altered", "feed-to-ground", "feed-on-signal", "outputs-joined", "feeds-joined", "reversed",
    "signal-grounded", "wrong-feed", "bus-altered", "crossed", "missing-circuit", "ground-lost", "orphaned",
    "extra-circuit", "spare", "not-documented", "",
)  # fmt: skip
"""Worst first, for choosing between two hybrids at one cavity."""
_LACKING = kinds_of(Trait.LACKING)


def kind_of(own: Side, was: Side, now: Side) -> MaybeKind:
    """The kind of a facing pair that is known to differ from before.

    ``own`` is the retained side, ``was`` what it faced in its own car, ``now``
    what it would face. Returns "" where the difference has nothing to say.
    """
    if was.label in NOTHING and now.label in NOTHING:
        return ""
    kind = FACING[own.label, now.label]
    if could_short(own, now) or could_short(now, own):
        return "feed-to-ground"
    if own.push_pull and kind in ("feeds-joined", "signal-grounded"):
        return "outputs-joined"  # it drives both rails, so each is its opposite
    if kind == "feeds-joined" and not _separate(own, now):
        return "wrong-feed" if own.label != now.label else "crossed"
    if kind == "crossed" and own.label in _LIVES_ON_A_FEED and _is_feed_for_reference(was, now):
        return "feed-on-signal"  # one of the two cars' parts lives on a module's few volts and gets the battery's
    if kind == "crossed" and own.label in CONSUMERS and was.label in FEEDS and now.label in _PASSIVE:
        kind = "missing-circuit"  # what fed it is gone; what is left feeds nobody
    if kind == "crossed" and was.label in NOTHING and (own.label not in FEEDS or own.from_part):
        kind = "extra-circuit"  # nothing is crossed where nothing was before
    if kind == "crossed":
        return _crossed(own, was, now)
    if kind == "orphaned" and now.label is Label.EMPTY and own.from_part and was.label in CONSUMERS:
        kind = "missing-circuit"  # not a wire's end left over, but a part's supply with no wire at all
    if kind in ("missing-circuit", "orphaned") and was.label in GROUNDS and own.label in CONSUMERS:
        return "ground-lost"
    if kind == "missing-circuit" and own.label is Label.DATA:
        return "bus-altered"
    return kind


def _is_feed_for_reference(one: Side, other: Side) -> bool:
    """Whether of two sides one is a module's reference and the other a feed, whichever car has which."""
    labels = one.label, other.label
    return Label.REFERENCE in labels and any(label in FEEDS for label in labels)


def joined_kind(a: Side, b: Side) -> MaybeKind:
    """The kind of two sides that become one net, which were two: the worse of both ways of asking the table."""
    kinds = [_bridged(a, b), _bridged(b, a)]
    return worst(["crossed" if kind in _LACKING else kind for kind in kinds])


def _bridged(own: Side, other: Side) -> MaybeKind:
    if could_short(own, other):
        return "feed-to-ground"
    kind = FACING[own.label, other.label]
    if own.push_pull and kind in ("feeds-joined", "signal-grounded"):
        return "outputs-joined"
    if kind == "feeds-joined" and not _separate(own, other):
        return ""
    return kind


def could_short(feed: Side, other: Side) -> bool:
    """Whether a feed meets the body or a part's ground contact that is tied to it, or, while it is live, a line
    that a switch or relay ties to it at the same time.
    """
    if feed.reached is None or other.reached is None or other.label in STEADY_FEEDS or feed.label is Label.GROUND:
        return False
    if other.tied or (other.label is Label.GROUND and not other.declared):
        return bool(feed.reached.feed_maybe)
    if feed.label not in FEEDS or feed.declared or not feed.reached.feed_maybe & other.reached.ground_maybe:
        return False
    if feed.label in STEADY_FEEDS and bool(feed.reached.feed_sure & other.reached.ground_maybe):
        return True
    return other.label in (Label.FEED, Label.SWITCHED_GROUND) and _at_once(feed.reached, other.reached)


def _at_once(feed: Reached, other: Reached) -> bool:
    """Whether one is live while the other is grounded: no switch or relay would have to stand in two positions."""
    return any(together(one, two) is not None for one in feed.feed_asks for two in other.ground_asks)


def _separate(own: Side, now: Side) -> bool:
    """Whether two feeds have fuses of their own; one behind the same fuse is no second supply."""
    return not (own.supplies and now.supplies and own.supplies == now.supplies)


def _crossed(own: Side, was: Side, now: Side) -> KindName:
    """A consumer fed at other times has the wrong feed; anything else is crossed."""
    if own.label in CONSUMERS and was.label in FEEDS and now.label in FEEDS and was.label != now.label:
        return "wrong-feed"
    if own.label in CONSUMERS and was.label in STEADY_FEEDS and now.label in STEADY_FEEDS:
        return "feeds-joined" if len(now.supplies) > max(1, len(was.supplies)) else "crossed"
    return "crossed"


def kind_between(was: Side, now: Side) -> MaybeKind:
    """The kind where only one half of each car is known: what the plug carried, and what it carries there.

    The other half expects what the plug carried; what it would get is judged by
    the same table, and a consumer counts as what feeds it.
    """
    if was.label in NOTHING or now.label in NOTHING:
        return FACING[was.label if was.label in NOTHING else _expecting(was), now.label]
    if was.label in FEEDS and now.label in FEEDS:
        return "wrong-feed" if was.label != now.label else "crossed"
    kind = FACING[was.label, now.label]
    return kind if kind in ("feed-to-ground", "feed-on-signal", "signal-grounded") else "crossed"


def _expecting(side: Side) -> Label:
    """What the unknown other half most likely is."""
    if side.label in GROUNDS:
        return Label.RETURN
    return Label.LOAD if side.label is not Label.NOT_KNOWN else Label.CONTACT


def worst(kinds: list[MaybeKind]) -> MaybeKind:
    """The worst of some kinds."""
    return min(kinds, key=RANK.index, default="")
