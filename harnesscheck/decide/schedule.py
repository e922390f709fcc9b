"""Who does what when: a schedule for several people, the critical path, and how far from best it can be.

Tasks are given out by the longest chain of work that waits for them [1]_; at one
place of the car one person works at a time. That is a rule of thumb, so the
lower bound is given beside it: no schedule is shorter than the longest chain,
than all work shared evenly, or than the work at the busiest place.

References
----------
.. [1] R. L. Graham, "Bounds on multiprocessing timing anomalies", SIAM Journal on Applied
   Mathematics 17 (1969): list scheduling. From memory.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from harnesscheck.model.order import natural_key


class CircleError(Exception):
    """Tasks that wait for each other; ``tasks`` are those in the circle and behind it."""

    def __init__(self, tasks: Sequence[str]) -> None:
        super().__init__("tasks wait for each other: " + ", ".join(tasks))
        self.tasks = tuple(tasks)


@dataclass(frozen=True, slots=True)
class Task:
    """A piece of work of one person: hours, what must be done before, where in the car ("" is anywhere)."""

    id: str
    hours: float
    after: tuple[str, ...] = ()
    at: str = ""


@dataclass(frozen=True, slots=True)
class Slot:
    """A task given to a person (1 to n), from and until in hours from the start."""

    task: str
    person: int
    start_h: float
    end_h: float


@dataclass(frozen=True, slots=True)
class Schedule:
    """All slots by start, how long it takes, and what no schedule can beat."""

    slots: tuple[Slot, ...]
    length_h: float
    least_h: float
    critical: tuple[str, ...]


def tails(tasks: Sequence[Task]) -> Mapping[str, float]:
    """By task, the hours of the longest chain that begins with it. Raises CircleError."""
    rows = {task.id: task for task in tasks}
    followers: dict[str, list[str]] = defaultdict(list)
    for task in tasks:
        for name in task.after:
            if name in rows:
                followers[name].append(task.id)
    waiting = {task.id: len(followers[task.id]) for task in tasks}
    ready = [name for name, count in waiting.items() if count == 0]
    found: dict[str, float] = {}
    for name in ready:
        found[name] = rows[name].hours + max((found[other] for other in followers[name]), default=0.0)
        for before in rows[name].after:
            if before in waiting:
                waiting[before] -= 1
                if waiting[before] == 0:
                    ready.append(before)
    if len(found) < len(rows):
        raise CircleError(sorted(rows.keys() - found.keys(), key=natural_key))
    return found


def critical_path(tasks: Sequence[Task]) -> tuple[float, tuple[str, ...]]:
    """The longest chain of work: its hours and its tasks in order. Raises CircleError."""
    tail = tails(tasks)
    rows = {task.id: task for task in tasks}

    def rank(name: str) -> tuple[float, object]:
        """The longest tail of work first."""
        return -tail[name], natural_key(name)

    chain: list[str] = []
    choice = [task.id for task in tasks if not set(task.after) & rows.keys()]
    while choice:
        chain.append(min(choice, key=rank))
        choice = [task.id for task in tasks if chain[-1] in task.after]
    return (tail[chain[0]] if chain else 0.0), tuple(chain)


def least_h(tasks: Sequence[Task], people: int) -> float:
    """What no schedule can beat, in hours."""
    at_place: dict[str, float] = defaultdict(float)
    for task in tasks:
        if task.at:
            at_place[task.at] += task.hours
    shared = sum(task.hours for task in tasks) / people
    return max(critical_path(tasks)[0], shared, *at_place.values(), 0.0)


def schedule(tasks: Sequence[Task], people: int) -> Schedule:
    """Give every task to a person. Raises CircleError; ``people`` is 1 or more."""
    tail = tails(tasks)
    rows = {task.id: task for task in tasks}
    waiting = sorted(rows, key=lambda name: (-tail[name], natural_key(name)))
    done_h: dict[str, float] = {}
    person_free_h = [0.0] * people
    place_free_h: dict[str, float] = defaultdict(float)
    slots: list[Slot] = []
    while waiting:
        open_ = [name for name in waiting if all(one in done_h for one in rows[name].after if one in rows)]
        person = min(range(people), key=lambda number: (person_free_h[number], number))

        def start_h(name: str, free_h: float = person_free_h[person]) -> float:
            """The earliest hour at which a person can begin a step."""
            row = rows[name]
            before = max((done_h[one] for one in row.after if one in done_h), default=0.0)
            return max(free_h, before, place_free_h[row.at] if row.at else 0.0)

        name = min(open_, key=lambda one: (start_h(one), waiting.index(one)))
        begin = start_h(name)
        slots.append(Slot(name, person + 1, begin, begin + rows[name].hours))
        done_h[name] = person_free_h[person] = slots[-1].end_h
        if rows[name].at:
            place_free_h[rows[name].at] = slots[-1].end_h
        waiting.remove(name)
    slots.sort(key=lambda slot: (slot.start_h, slot.person))
    length = max((slot.end_h for slot in slots), default=0.0)
    return Schedule(tuple(slots), length, least_h(tasks, people), critical_path(tasks)[1])
