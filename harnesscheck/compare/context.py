"""Two studied cars and their pairs, with the questions every check asks of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from harnesscheck.align.pairs import Pairs
from harnesscheck.compare.finding.findings import NO_SPOT, Hybrid, Spot
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import Pin, Wire
from harnesscheck.network.behaviour.states import Behaviour
from harnesscheck.network.graph.sides import FEEDS, NOTHING, STEADY_FEEDS, Label, Side, Study
from harnesscheck.network.graph.turning import turnable_ends
from harnesscheck.trade.lexicon import Sameness, sameness

_WEAK = frozenset({Label.CONTACT, Label.OPEN, Label.NOT_KNOWN, Label.LOAD})

_PASSIVE = frozenset({Label.SUPPLY, Label.RETURN, Label.LOAD, Label.CONTACT, Label.INPUT})
_PROVEN = STEADY_FEEDS | {Label.GROUND}  # labels that reach alone proves

_BY_REACH = FEEDS | {Label.GROUND, Label.SWITCHED_GROUND}
_GROUND_LIKE = frozenset({Label.GROUND, Label.SWITCHED_GROUND, Label.RETURN, Label.NOT_KNOWN})

Key = frozenset[tuple[str, str]]

HYBRIDS = (Hybrid.DONOR_HALF, Hybrid.SHELL_HALF)


@dataclass(frozen=True)
class Context:
    """What every check is given. Donor ids are mapped to the shell's where both have a row.

    ``built`` names by donor half the hybrids that will be built; a half it leaves
    out meets what it met. None: nothing is decided, so every hybrid is judged.
    """

    donor: Study
    shell: Study
    pairs: Pairs
    built: Mapping[str, tuple[Hybrid, ...]] | None = None

    @cached_property
    def donor_behaviour(self) -> Behaviour:
        """The donor's states, worked out once for everybody who asks."""
        return self.donor.kept(Behaviour)

    @cached_property
    def shell_behaviour(self) -> Behaviour:
        """The other car's states."""
        return self.shell.kept(Behaviour)

    @cached_property
    def lone(self) -> str:
        """The car of which the file holds one plug and no parts, and the other's holds more; "" where neither does."""
        donor, shell = (_is_one_plug(study) for study in (self.donor, self.shell))
        return "" if donor is shell else "donor" if donor else "shell"

    @property
    def word(self) -> str:
        """What sentences call the second car."""
        return "shell" if self.built is None else "car"

    def hybrids(self, half: str) -> tuple[Hybrid, ...]:
        """The hybrids to judge at a meeting place."""
        return HYBRIDS if self.built is None else self.built.get(half, ())

    @cached_property
    def component_map(self) -> dict[str, str]:
        """Shell component by donor component."""
        return {pair.donor: pair.shell for pair in self.pairs.components}

    @cached_property
    def retained(self) -> frozenset[str]:
        """The shell's components that the donor has too."""
        return frozenset(self.component_map.values())

    @cached_property
    def circuit_map(self) -> dict[str, str]:
        """Shell circuit by donor circuit; where no part tells more, circuits of one name are one."""
        mapped = {pair.donor: pair.shell for pair in self.pairs.circuits}
        if self.pairs.components:
            return mapped
        free = {name for names in self.shell.index.circuits_of for name in names} - set(mapped.values())
        own = {name for names in self.donor.index.circuits_of for name in names} - mapped.keys()
        return mapped | {name: name for name in sorted(own & free)}

    @cached_property
    def _donors_of(self) -> dict[str, tuple[str, ...]]:
        found: dict[str, tuple[str, ...]] = {}
        for pair in self.pairs.connectors:
            found[pair.shell] = (*found.get(pair.shell, ()), pair.donor)
        return found

    def donor_connectors(self, shell: str) -> tuple[str, ...]:
        """The donor's connectors that are paired with one of the shell's."""
        return self._donors_of.get(shell, ())

    @cached_property
    def turnable(self) -> frozenset[tuple[str, str]]:
        """The shell's retained terminals whose load does not mind which way round it is fed in either car."""
        ours = {(self.component_map[c], t) for c, t in turnable_ends(self.donor) if c in self.component_map}
        return frozenset(ours & turnable_ends(self.shell))

    @cached_property
    def turned(self) -> dict[tuple[str, str], str]:
        """The other end, by the donor's component and terminal, of turnable loads that sit the other way round."""
        ends: dict[str, list[str]] = {}
        for component, terminal in self.donor.index.terminal:
            if (self.component_map.get(component, ""), terminal) in self.turnable:
                ends.setdefault(component, []).append(terminal)
        found: dict[tuple[str, str], str] = {}
        for component, names in ends.items():
            if len(names) == 2 and self._is_turned(component, *names):
                found |= {(component, names[0]): names[1], (component, names[1]): names[0]}
        return found

    def _is_turned(self, component: str, a: str, b: str) -> bool:
        """Whether the other way round more of what each end met in the donor is met in the shell."""
        other = self.component_map[component]
        ours = [self._met(self.donor, component, name) for name in (a, b)]
        theirs = [self._met(self.shell, other, name) for name in (a, b)]
        straight = sum(self._alike(x, y) for x, y in zip(ours, theirs, strict=True))
        return sum(self._alike(x, y) for x, y in zip(ours, theirs[::-1], strict=True)) > straight

    def _met(self, study: Study, component: str, terminal: str) -> tuple[Label, Key]:
        index = study.index
        node = index.terminal.get((component, terminal))
        if node is None:
            return Label.EMPTY, frozenset()
        side = study.net_side(index.net_of[index.piece_of[node]])
        key = self.donor_key(side) if study is self.donor else self.shell_key(side)
        own = self.component_map[component] if study is self.donor else component
        return side.label, frozenset(one for one in key if one[0] != own)

    def _alike(self, ours: tuple[Label, Key], theirs: tuple[Label, Key]) -> int:
        return len(ours[1] & theirs[1]) + (ours[0] is theirs[0] is Label.GROUND)

    def key(self, component: str, terminal: str) -> tuple[str, str]:
        """A shell terminal as it is compared: both ends of a load that may be turned round are one."""
        return (component, "") if (component, terminal) in self.turnable else (component, terminal)

    def donor_key(self, side: Side) -> Key:
        """The retained terminals of a donor side, in the shell's words."""
        mapped = self.component_map
        return frozenset(self.key(mapped[t.component], t.name) for t in side.terminals if t.component in mapped)

    def shell_key(self, side: Side) -> Key:
        """The retained terminals of a shell side."""
        return frozenset(self.key(t.component, t.name) for t in side.terminals if t.component in self.retained)

    def same_function(self, was: Side, now: Side) -> tuple[bool | None, bool]:
        """Whether a shell side does what a donor side did, and whether that is known for sure.

        Steady feeds and grounds are the same by what they are, the rest by the
        retained terminals they join, and only where there are none by the names
        of circuits and functions (likely at most). None: cannot be told.
        """
        if was.label is Label.GROUND and now.label is Label.GROUND and not (was.declared and now.declared):
            return True, True
        known = not (was.open or now.open)
        if NOTHING & {was.label, now.label}:
            return was.label in NOTHING and now.label in NOTHING, known
        before, after = self.donor_key(was), self.shell_key(now)
        if (was.label is Label.RESTRAINT) != (now.label is Label.RESTRAINT):
            return (bool(before & after) if before and after else self.same_by_names(was, now)), False
        if was.label in FEEDS and now.label in FEEDS and not (was.declared or now.declared):
            return self._same_feed(was, now, bool(before & after), bool(before and after)), True
        if before and after:
            joined = bool(before & after) and self._same_sort(was, now)
            proven = _proven_apart(was, now) or _proven_apart(now, was)
            return joined, joined or proven or (known and not (was.declared or now.declared))
        if was.label != now.label and {was.label, now.label} <= _PROVEN and not (was.declared or now.declared):
            return False, True
        if _is_driven_against_rail(was, now) or _is_driven_against_rail(now, was):
            return False, True  # whatever the names say
        if was.declared and now.declared and was.label != now.label:
            return (None if self._may_be_one_feed(was, now) else False), known
        same = self.same_by_names(was, now)
        if same is None and (before or after) and not (was.open or now.open):
            same = False
        return same, same is False and (_proven_apart(was, now) or _proven_apart(now, was))

    def _may_be_one_feed(self, was: Side, now: Side) -> bool:
        """Whether words call one side a supply and leave it open when that is live."""
        if not (Label.FEED in (was.label, now.label) and {was.label, now.label} <= FEEDS and was.likely and now.likely):
            return False
        return self._same_words(was, now) is None

    def _same_feed(self, was: Side, now: Side, joined: bool, both_joined: bool) -> bool:
        """Two live feeds: the same key positions, no second supply, and not another circuit by name."""
        if was.label != now.label:
            return joined and Label.FEED in (was.label, now.label)  # the relay's or switch's own plug tells
        if len(now.supplies) > max(1, len(was.supplies)):
            return False
        if was.label is Label.FEED and both_joined:
            return joined
        return joined or self.same_by_names(was, now) is not False

    def _same_sort(self, was: Side, now: Side) -> bool:
        """Whether a side still drives, feeds or grounds as it did, as far as is known."""
        if was.label == now.label or self.blind or {was.label, now.label} <= _PASSIVE:
            return True
        if (was.vague or now.vague) and not {was.label, now.label} & _BY_REACH:
            return True  # what nobody wrote of a terminal that both have is no difference
        return _is_weak(was) or _is_weak(now)

    @cached_property
    def blind(self) -> bool:
        """Whether one car names no battery, so that nothing can be said about feeds there."""
        return not (self.donor.reach.sources and self.shell.reach.sources)

    @cached_property
    def donor_circuit(self) -> dict[str, str]:
        """Donor circuit by shell circuit."""
        return {shell: donor for donor, shell in self.circuit_map.items()}

    @cached_property
    def partnered(self) -> frozenset[str]:
        """The shell's circuits that are one of the donor's."""
        return frozenset(self.circuit_map.values())

    def shell_names(self, supplies: Sequence[str]) -> tuple[str, ...]:
        """The shell's names for the donor's fuses; one inside a box keeps its own name, where it has one."""
        return tuple(self._fuse_names.get(name, name) for name in supplies)

    @cached_property
    def _fuse_names(self) -> dict[str, str]:
        named = {e.name: e.component for e in self.donor.reach.elements if e.component in self.component_map}
        return {
            name: self.component_map[owner] + name.removeprefix(owner)
            for name, owner in named.items()
            if name == owner or name.startswith(f"{owner}.")
        }

    def same_by_names(self, was: Side, now: Side) -> bool | None:
        """Whether circuits' names, and what they are for, call two sides one circuit; None where they do not tell."""
        mapped = {self.circuit_map[name] for name in was.circuits if name in self.circuit_map}
        words = self._same_words(was, now)
        if mapped & set(now.circuits):
            return words is not False  # makers give a number away again; what it is for does not change with it
        if words is not None or not (was.circuits and now.circuits):
            return words
        if mapped or self.partnered & set(now.circuits) or not self.component_map:
            return False
        return None

    def is_other_circuit(self, was: Side, now: Side) -> bool:
        """Whether two open sides that share a retained terminal are named as other circuits and lead further apart."""
        mapped = {self.circuit_map[name] for name in was.circuits if name in self.circuit_map}
        if not (was.open and mapped and now.circuits) or mapped & set(now.circuits):
            return False
        return self.donor_key(was) != self.shell_key(now)

    def _same_words(self, was: Side, now: Side) -> bool | None:
        """Whether the free-text functions name one circuit; None where one car says nothing, or nobody can tell."""
        answers = {sameness(a, b) for a in _words(self.donor, was) for b in _words(self.shell, now)}
        if Sameness.SAME in answers:
            return True
        return False if answers == {Sameness.DIFFERENT} else None

    def restrained(self, study: Study, connector: str, cavity: str) -> bool:
        """Whether a cavity is restraint or high voltage, known or suspected."""
        return bool(study.hands_off.contact(connector, cavity))

    def wires(self, study: Study, connector: str, cavity: str) -> Sequence[Pin | Wire]:
        """The rows of the wires that end in a cavity; the cavity's own row first."""
        node = study.index.cavity.get((connector, cavity))
        return () if node is None else study.index.wires_at.get(node, ())

    def circuit(self, study: Study, connector: str, cavity: str) -> str:
        """The circuit a cavity carries by its own row, else by its net, else nothing."""
        written = [row.circuit for row in self.wires(study, connector, cavity) if row.circuit]
        if written:
            return min(written, key=natural_key)
        piece = study.index.piece(connector, cavity)
        if piece is None:
            return ""
        own = study.index.circuits_of[piece]
        return own[0] if own else self._circuit_of_net(study, study.index.net_of[piece])

    @cached_property
    def _net_names(self) -> dict[tuple[bool, int], str]:
        return {}

    def _circuit_of_net(self, study: Study, net: int) -> str:
        """The first circuit by name of the wires of a net; "" where none is named."""
        known = self._net_names
        key = study is self.donor, net
        if key not in known:
            index = study.index
            known[key] = min(
                (n for p in index.pieces_of[net] for n in index.circuits_of[p]), key=natural_key, default=""
            )
        return known[key]


def _is_one_plug(study: Study) -> bool:
    """Whether a file holds the halves of one plug, and no parts."""
    vehicle = study.vehicle
    first = next(iter(vehicle.connectors), "")
    return not vehicle.components and set(vehicle.connectors) <= {first, vehicle.mate_of.get(first, first)}


def _is_weak(side: Side) -> bool:
    """Whether a side's label may be another once its extent is known."""
    return side.open and (side.label in _WEAK or side.declared)


def _proven_apart(proven: Side, other: Side) -> bool:
    """Whether one side is a feed or a ground by reach, and the other, fully known, is neither of that sort."""
    if proven.label not in _PROVEN or proven.declared or other.declared or other.open or other.label in NOTHING:
        return False
    return other.label not in (_GROUND_LIKE if proven.label is Label.GROUND else FEEDS | {Label.NOT_KNOWN})


def _is_driven_against_rail(driven: Side, rail: Side) -> bool:
    """Whether one side is what a part drives, by its roles, and the other is the body or a feed, by reach."""
    by_role = driven.label in (Label.OUTPUT, Label.REFERENCE) and bool(driven.terminals) and not driven.declared
    return by_role and rail.label in _PROVEN and not (rail.declared or rail.open)


def _words(study: Study, side: Side) -> set[str]:
    rows = (study.vehicle.circuits.get(name) for name in side.circuits)
    said = [*side.functions, *(row.function for row in rows if row is not None and row.function)]
    return set(said)


def plug_of(study: Study, component: str) -> Spot:
    """The harness plug of a component, for naming a place; no spot where it has none."""
    first = min((row.id for row in study.vehicle.connectors_of.get(component, ())), key=natural_key, default="")
    return Spot(study.vehicle.mate_of.get(first, first)) if first else NO_SPOT


def plugs_of(ctx: Context, donor: str, shell: str) -> tuple[Spot, Spot]:
    """The plugs that name the place of a part of both cars: the donor's, and its partner among the shell part's.

    Where the shell's part has no such plug, any of its own.
    """
    ours = plug_of(ctx.donor, donor)
    pair = ctx.pairs.connector.get(ours.connector)
    vehicle = ctx.shell.vehicle
    theirs = {vehicle.mate_of.get(row.id, row.id) for row in vehicle.connectors_of.get(shell, ())}
    return ours, Spot(pair.shell) if pair is not None and pair.shell in theirs else plug_of(ctx.shell, shell)
