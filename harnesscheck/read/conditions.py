"""When a row is there: its options and build dates, compared with another's or with a vehicle's."""

from __future__ import annotations

from harnesscheck.model.records import Common

OR = "|"  # between options of which one is enough
_FIRST, _LAST = "0000-01", "9999-12"
Months = tuple[str | None, str | None]  # first and last build month; None: open or not known


def names_in(common: Common) -> tuple[str, ...]:
    """Every option, and every family, that decides whether a row is there."""
    return (*(name for term in common.option for name in term.split(OR)), *common.without)


def is_there(common: Common, has: frozenset[str]) -> bool:
    """Whether a row is there in a vehicle with these options and families, build dates apart."""
    return has.isdisjoint(common.without) and (
        has.issuperset(common.option) or all(not has.isdisjoint(term.split(OR)) for term in common.option)
    )


def same_conditions(a: Common, b: Common) -> bool:
    """Whether two rows are there in the same vehicles, as far as the file says."""
    return a is b or (
        set(a.option) == set(b.option)
        and set(a.without) == set(b.without)
        and (a.built_from, a.built_to) == (b.built_from, b.built_to)
    )


def can_meet(a: Common, b: Common) -> bool:
    """Whether one vehicle can have both rows."""
    if a is b:
        return True
    apart = _shut_out(a, b) or _shut_out(b, a)
    return not apart and overlap((a.built_from, a.built_to), (b.built_from, b.built_to))


def _shut_out(a: Common, b: Common) -> bool:
    """Whether an option that one row needs is never there with the other; of ``x|y`` both."""
    never = {*b.without, *b.apart}
    return bool(never) and any(never.issuperset(term.split(OR)) for term in a.option)


def overlap(a: Months, b: Months) -> bool:
    """Whether two spans of build months share a month."""
    return (a[0] or _FIRST) <= (b[1] or _LAST) and (b[0] or _FIRST) <= (a[1] or _LAST)


def covers(row: Months, vehicle: Months) -> bool:
    """Whether a row's span holds every month the vehicle may have been built in."""
    return (row[0] or _FIRST) <= (vehicle[0] or _FIRST) and (vehicle[1] or _LAST) <= (row[1] or _LAST)
