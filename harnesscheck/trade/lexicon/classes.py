"""The electrical class of a text from its concepts: a small grammar over them, in no language.

Common practice, no source. The order of the words says nothing, what stands in
brackets counts like the rest. A class is given only where nothing in the text
leaves a doubt; a word of doubt makes the answer None, and ``maybe`` keeps what it
could have been, because a doubtful feed still burns.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from harnesscheck.trade.lexicon.reading import Reading
from harnesscheck.trade.lexicon.settling import ConceptSet, concept_set

EMPTY = "empty"

Said = ConceptSet
_set = concept_set

_SIGNS = _set(", / - doubt or line")
_NO_THING = _SIGNS | _set("for on circuit pin terminal contact fuse fuse-box body engine")
_DOUBTS = _set("doubt not fault")
_LIVE = _set("feed live plus volts")  # says that there are volts
# What is measured or carried without power: its ground is no body ground, its supply a reference.
_MEASURED = _set(
    "temperature pressure level position speed rpm oxygen knock crankshaft camshaft throttle pedal map mass-flow"
    " steering-angle rain sun ambient wheel"
)
_QUIET = _set("sensor signal speaker audio-input reference antenna low-volts data mute tuner radio-signal")
_CONSUMERS = _set("lamp motor pump valve heater horn compressor injector lock coil module relay")
_REVERSIBLE = _set("window mirror seat lock flap door-lock sunroof roof fold")  # either pole of its motor may be fed
_LIQUID = _set("fuel oil coolant water end-position wiper heater")  # they return, too
_SWITCHED_AT_GROUND = _set(
    "relay coil trigger control switched switch via input output indicator injector valve horn warning igniter"
    " ignition-coil hardware chime door-switch"
)
_NO_FEED = _set("coil trigger via sense signal switch input saver charge field regulator speaker data hardware")
_NO_RAIL = _set("relay output control charge lamp")  # a feed of its own, not the rail itself
_STARTS = _set("start starter-motor valve signal control run ignition key field output trigger sidelight") - {
    "sidelight"
}


@dataclass(frozen=True, slots=True)
class Judged:
    """The class, or None; and every class that the words speak of, doubted or not."""

    class_: str | None
    maybe: tuple[str, ...] = ()


def judge(reading: Reading) -> Judged:
    """The class of a text that was read."""
    said = frozenset(reading.concepts)
    if not any(letter.isalnum() for hit in reading.hits for letter in hit.words):
        return Judged(None)  # a bare sign says nothing
    found = [class_ for rule in _RULES if (class_ := rule(said)) is not None]
    feed = _feed(_head(reading.concepts))
    found += [] if feed is None else [feed]
    sure = {one for one in found if not one.endswith("?")}
    maybe = tuple(dict.fromkeys(one.rstrip("?") for one in found))
    doubted = said & _DOUBTS or ("or" in said and len(_keys(said)) < 2)
    return Judged(None if doubted or len(sure) != 1 else sure.pop(), maybe)


def _things(said: Said) -> Said:
    """What is left without signs, numbers, places in a list and words that name no thing."""
    return frozenset(one for one in said - _NO_THING if not one.startswith(("#", "@")))


def _empty(said: Said) -> str | None:
    return EMPTY if _things(said) in ({"unused"}, {"reserve"}) else None


def _data(said: Said) -> str | None:
    if "data" not in said or said & {"ground", "return"}:
        return None
    return "data?" if "can" in said and said & {"lamp", "oil", "level", "water", "fan"} else "data"


def _ground(said: Said) -> str | None:
    """Ground, or the return of a sensor, a signal, a shield, a sound."""
    if "return" in said:
        return None if "shield" in said and said & {"washer", "pump", "heater", "temperature"} else "return"
    if not said & {"ground", "minus", "return-lead"}:
        return "ground" if said - _SIGNS == {"#e"} else None
    if said & {"speaker", "data"} and "ground" not in said:
        return None  # a loudspeaker's minus is driven, a bus's is a leg
    if said & _QUIET or (said & _MEASURED and not said & _CONSUMERS):
        return "return?" if said & {"heater", "switch", "relay", "wiper"} else "return"
    if "ground" not in said:
        return _ground_by_another_name(said)
    doubt = (
        said & _SWITCHED_AT_GROUND
        or said >= {"for", "on"}
        or said & {"plus", "volts", "live"}
        or ("/" in said and "feed" in said)
    )
    return "ground?" if doubt else "ground"


def _ground_by_another_name(said: Said) -> str | None:
    if "return-lead" in said:
        if said & _LIQUID:
            return None
        led = said & {"lamp"} or any(one.startswith("@p") for one in said)
        return "ground" if led and not said & _SWITCHED_AT_GROUND else None
    if "battery" in said or _things(said) <= {"minus", "feed"}:
        return "ground?" if said & _SWITCHED_AT_GROUND else "ground"
    return None


def _reference(said: Said) -> str | None:
    if said & {"ground", "minus", "return", "return-lead"}:
        return None
    if "low-volts" in said:
        return None if said & {"signal", "relay", "switch", "output"} else "reference"
    if "reference" in said:
        return "reference"
    if "sensor" in said and said & _LIVE and not (said & {"volts", "heater", "signal", "battery"} or _keys(said)):
        return "reference"
    return None


def _head(concepts: Sequence[str]) -> Said:
    """What stands before a word for "to": what follows is where it leads, not what it is."""
    at = concepts.index("for") if "for" in concepts else 0
    return frozenset(concepts[:at]) if set(concepts[:at]) & (_LIVE | {"battery"}) else frozenset(concepts)


def _feed(said: Said) -> str | None:
    """A supply, by the key positions in which it is live."""
    if said & {"return", "reference", "low-volts"} or ("ground" in said and not said & {"plus", "volts", "live"}):
        return None
    key, live = _key(said), said & _LIVE
    if key is None:
        return None
    if not key:
        if not live or (live == {"plus"} and said & _REVERSIBLE):
            return None
        if "sensor" in said and not said & {"volts", "heater"}:
            return None
        return "feed?" if said & _NO_FEED - {"charge"} and not _is_coil_feed(said) else "feed"
    if key == "start":
        return _start(said)
    doubt = said & (_NO_FEED | _NO_RAIL) or "ground" in said or not (live or _stands_alone(said, key))
    return f"{key}?" if doubt else key


def _is_coil_feed(said: Said) -> bool:
    """Whether the only doubtful word is a coil or a charge that is plainly fed."""
    return said & _NO_FEED <= {"coil"} and "feed" in said


def _keys(said: Said) -> Said:
    """The key positions that the words name."""
    keys = said & {"run", "accessory", "start"}
    live = said & (_LIVE | {"switched"})
    if live and (said & {"ignition", "key"} or ("ignition-switch" in said and "switched" in said)):
        keys |= {"run"}
    if "contact" in said and live and not _things(said) - _LIVE - {"switched"}:
        keys |= {"run"}  # the ignition's, in French, Spanish, Dutch
    return keys | ({"start"} if "starter-motor" in said and said & {"signal", "control", "valve", "trigger"} else set())


def _key(said: Said) -> str | None:
    """permanent, run, accessory, start; "" where no word of the key is said; None where words contradict."""
    keys = set(_keys(said))
    if keys == {"run", "start"}:
        keys = (
            {"start"}
            if _things(said) <= {"start", "key", "signal", "feed", "control", "output", "trigger"}
            else {"run"}
        )
    if "accessory" in keys:
        keys -= {"run", "start"}
    if not keys and "switched" in said and said & {"plus", "volts", "live"}:
        keys = {"run"}
    if "permanent" in said:
        return None if keys else "permanent"
    if not keys:
        return "permanent" if "battery" in said else ""
    return keys.pop() if len(keys) == 1 else None


def _start(said: Said) -> str:
    """What the key sends to the starter; relays, inhibitors, buttons and the motor's own cable leave a doubt."""
    return "start" if _things(said) <= _STARTS | _LIVE else "start?"


def _stands_alone(said: Said, key: str) -> bool:
    """Whether words of the key alone name a supply: ``ACC``, ``battery``, ``run``."""
    rest = _things(said)
    if key == "permanent":
        return rest <= {"battery", "permanent", "memory", "radio"} and "battery" in rest
    return rest <= {"run", "ignition", "switched", "start", "key", "accessory", "radio"}


def _signal(said: Said) -> str | None:
    silent = _set("ground return return-lead feed volts live minus data unused start starter-motor")
    return "signal" if "signal" in said and not said & silent else None


_RULES: tuple[Callable[[Said], str | None], ...] = (_empty, _data, _ground, _reference, _signal)
