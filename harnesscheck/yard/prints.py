"""The fingerprints of a folder of cars: from the cache where their contents are known, else made and kept."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from harnesscheck.model.progress import Told
from harnesscheck.model.vehicle import Vehicle
from harnesscheck.yard.cache import Cache, contents_key
from harnesscheck.yard.cars import HowToRead
from harnesscheck.yard.fingerprint import VERSION, Fingerprint, fingerprint, packed, unpacked


@dataclass(frozen=True, slots=True)
class Unread:
    """A file that could not be read, and why."""

    path: str
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Prints:
    """By path the fingerprints of what could be read, and the contents' digests; what could not be read."""

    read: dict[str, Fingerprint]
    contents: dict[str, str | None]
    unread: list[Unread]


def prints_of(paths: Sequence[str], how: HowToRead, cache: Cache, told: Told) -> Prints:
    """The fingerprints of many files. Bad files are listed and stop nothing."""
    found = Prints({}, {}, [])
    for number, path in enumerate(paths, start=1):
        told(f"reading {number} of {len(paths)}")
        contents = found.contents[path] = contents_key(Path(path))
        made = print_of(contents, how, cache, partial(how.read, path))
        if isinstance(made, Fingerprint):
            found.read[path] = made
        else:
            found.unread.append(Unread(Path(path).name, tuple(made)))
    return found


def print_of(
    contents: str | None, how: HowToRead, cache: Cache, car_of: Callable[[], Vehicle | list[str]]
) -> Fingerprint | list[str]:
    """The fingerprint of a file, from the cache or made of its car; its faults where it cannot be read."""
    key = how.key("fingerprint", str(VERSION), contents)
    if key is not None and (kept := cache.get(key)) is not None:
        return unpacked(kept)
    car = car_of()
    if isinstance(car, list):
        return car
    made = fingerprint(car)
    if key is not None:
        cache.put(key, packed(made))
    return made
