"""Options of which a vehicle has one at most: what that says of the rows that need one of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from harnesscheck.model.records import TABLE_OF, Common, Netlist, Option
from harnesscheck.read.conditions import OR
from harnesscheck.read.faults import Faults

Families = Mapping[str, frozenset[str]]  # the options of each


def families_of(options: Iterable[Option]) -> Families:
    """The options of every family."""
    found: dict[str, set[str]] = defaultdict(set)
    for row in options:
        if row.family is not None:
            found[row.family].add(row.id)
    return {name: frozenset(members) for name, members in found.items()}


def with_families(has: Iterable[str], options: Iterable[Option]) -> frozenset[str]:
    """The options that a vehicle has, and the families of which it has one."""
    has = frozenset(has)
    return has.union(name for name, members in families_of(options).items() if not members.isdisjoint(has))


def tell_apart(netlist: Netlist, faults: Faults) -> Netlist:
    """The netlist with every row knowing which options its own shut out; broken rules of options are faults."""
    _check(netlist, faults)
    families = families_of(netlist.options)
    if not families:
        return netlist
    told: dict[Common, Common] = {}

    def row_told(row: Any) -> Any:
        """A row with what its options shut out."""
        common = row.common
        if not common.option and not common.without:
            return row
        if common not in told:
            told[common] = replace(common, apart=tuple(sorted(_apart(common, families))))
        return row if told[common] == common else replace(row, common=told[common])

    tables: dict[str, Any] = {slot: tuple(map(row_told, getattr(netlist, slot))) for slot in TABLE_OF.values()}
    return replace(netlist, **tables)


def _apart(common: Common, families: Families) -> set[str]:
    """What is never there with a row, beside what it is without.

    Those that all options of one term shut out; of a family that it is without, every option; a family of which
    every option is shut out.
    """
    family_of = {option: name for name, members in families.items() for option in members}
    never = {option for name in common.without for option in families.get(name, ())}
    for term in common.option:
        options = {one for name in term.split(OR) for one in families.get(name, (name,))}
        homes = {family_of.get(option) for option in options}
        if len(homes) == 1 and (home := homes.pop()) is not None:
            never |= families[home] - options
    shut = never | set(common.without)
    return never | {name for name, members in families.items() if members <= shut}


def _check(netlist: Netlist, faults: Faults) -> None:
    """No option is called like a family or holds the sign for *or*; of a family one is fitted."""
    fitted: dict[str, Option] = {}
    families = families_of(netlist.options)
    for row in netlist.options:
        if OR in row.id or row.id in families:
            faults.add(row.place, row.id, f"id: an option's name that no family has, without {OR}")
        if row.family is None or row.fitted is False:
            continue
        other = fitted.setdefault(row.family, row)
        if other is not row:
            expected = f'fitted="no" for all of family {row.family} but one ({other.id})'
            faults.add(row.place, f"{row.id} fitted", expected, other.place)
