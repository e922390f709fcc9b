"""Doubts about one car: a sound file whose wiring does not make sense."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from harnesscheck.compare.context import plug_of
from harnesscheck.compare.finding.cautions import guarded
from harnesscheck.compare.finding.cavitywords import named, place_words
from harnesscheck.compare.finding.findings import (
    NO_SPOT,
    Evidence,
    Finding,
    Spot,
    capital,
    in_order,
    least,
    make_finding,
)
from harnesscheck.compare.finding.kinds import Certainty, KindName, Severity
from harnesscheck.compare.finding.sentences import (
    POSITIVE_EARTH,
    POSITIVE_EARTH_DO,
    POSTS_NOT_NAMED,
    POSTS_NOT_NAMED_DO,
)
from harnesscheck.compare.plugs.earth import turned_severity
from harnesscheck.compare.plugs.meetings import reporting_half
from harnesscheck.model.order import natural_key
from harnesscheck.model.records import AnyRecord, Pin
from harnesscheck.network.graph.earth import earth_of, is_of_positive_earth
from harnesscheck.network.graph.sides import CLASS_OF_LABEL, FEEDS, Label, Study
from harnesscheck.network.graph.unfused import unfused_ends
from harnesscheck.network.hands_off import HAZARDS


def doubts(study: Study) -> list[Finding]:
    """Everything doubtful about one car, worst first."""
    found = [
        *_mates(study),
        *_classes(study),
        *_terminals(study),
        *_circuits(study),
        *_useless(study),
        *_unfused(study),
        *_tied(study),
        *_positive_earth(study),
        *_posts(study),
    ]
    return [_with_hands_off(study, one) for one in in_order(found)]


def _with_hands_off(study: Study, finding: Finding) -> Finding:
    """A doubt at a plug that holds restraint or high-voltage wiring too, with who may open it."""
    marks = study.hands_off.plug(finding.donor.connector)
    if not marks:
        return finding
    evidence = replace(finding.evidence, hands_off=marks)
    return replace(finding, do=guarded(finding.do, (study, finding.donor.connector)), evidence=evidence)


def _doubt(
    kind: KindName,
    text: str,
    spot: Spot,
    certainty: Certainty = Certainty.KNOWN,
    component: str = "",
    severity: Severity | None = None,
    evidence: Evidence | None = None,
) -> Finding:
    words, parts = {"text": capital(text)}, (component, "")
    return make_finding(kind, certainty, spot, NO_SPOT, words, parts, evidence, severity)


def _read_at(*rows: AnyRecord) -> Evidence:
    return Evidence(read_at=tuple(str(row.place) for row in rows))


def _mates(study: Study) -> Iterator[Finding]:
    """Two mated halves whose written facts disagree."""
    vehicle = study.vehicle
    for connector, mate in sorted(vehicle.mate_of.items(), key=lambda item: natural_key(item[0])):
        if reporting_half(vehicle, connector) != connector:
            continue
        a, b = vehicle.connectors[connector], vehicle.connectors[mate]
        faults = []
        if a.half is not None and a.half == b.half:
            faults.append(f"both hold {a.half}")
        if a.cavities is not None and b.cavities is not None and set(a.cavities) != set(b.cavities):
            faults.append(f"{len(a.cavities)} and {len(b.cavities)} cavities, or other names")
        if a.keyway is not None and b.keyway is not None and a.keyway != b.keyway:
            faults.append(f"keyways {a.keyway} and {b.keyway}")
        if faults:
            text = (
                f"{connector}{place_words(study, connector)} and {mate} are plugged together, but: {'; '.join(faults)}"
            )
            yield _doubt("doubtful-mates-disagree", text, Spot(connector), evidence=_read_at(a, b))


def _classes(study: Study) -> Iterator[Finding]:
    """A circuit whose declared class is not what its wires make of it."""
    index = study.index
    pieces: dict[str, dict[int, None]] = defaultdict(dict)
    for piece, names in enumerate(index.circuits_of):
        for name in names:
            pieces[name][piece] = None
    for circuit in study.vehicle.netlist.circuits:
        said = circuit.class_
        if said is None or said in HAZARDS or circuit.system in HAZARDS:
            continue
        for piece in pieces.get(circuit.id, ()):
            side = study.piece_side(piece, None)
            derived = CLASS_OF_LABEL.get(side.label)
            if side.declared or side.open or derived is None or not _contradicts(said, side.label, derived):
                continue
            text = f"circuit {circuit.id} is declared {said}, but its wires make it a {side.label.value}"
            row = index.wires_of[piece][0] if index.wires_of[piece] else circuit
            spot = _first_spot(study, piece, circuit.id)
            yield _doubt(
                "doubtful-class-contradicted", text, spot, least(not side.likely), evidence=_read_at(circuit, row)
            )
            break


def _contradicts(said: str, label: Label, derived: str) -> bool:
    """Feeds contradict grounds and other key positions; "feed" alone claims no positions, a signal may be driven."""
    if said == derived or label is Label.RESTRAINT or (said == "feed" and label in FEEDS):
        return False
    if said in ("signal", "data"):
        return label in FEEDS - {Label.FEED} or label is Label.GROUND
    return not (label is Label.FEED and said in ("accessory", "run", "start", "permanent"))


def _first_spot(study: Study, piece: int, circuit: str) -> Spot:
    spots = [spot for spot in study.index.cavities_of[piece] if study.vehicle.connectors[spot[0]].component is None]
    spots = [spot for spot in spots if _carries(study, spot, circuit)] or spots
    first = min(spots, key=lambda spot: (natural_key(spot[0]), natural_key(spot[1])), default=("", ""))
    return Spot(first[0], first[1], circuit)


def _carries(study: Study, spot: tuple[str, str], circuit: str) -> bool:
    """Whether a wire in a cavity is named as the circuit by its own row."""
    return any(row.circuit == circuit for row in study.index.wires_at[study.index.cavity[spot]])


def _terminals(study: Study) -> Iterator[Finding]:
    """A terminal in a documented plug that no wire reaches."""
    vehicle, index = study.vehicle, study.index
    for pin in vehicle.netlist.pins:
        if pin.terminal is None or pin.connector is None or pin.to is not None:
            continue
        component = vehicle.connectors[pin.connector].component
        mate = vehicle.mate_of.get(pin.connector)
        if component is None or mate is None or index.state(mate, pin.cavity or "") != "empty":
            continue
        if _reached_elsewhere(study, component, pin):
            continue
        text = f"{named(study, component)} terminal {pin.terminal}: {mate}:{pin.cavity} holds no wire"
        needed = pin.role in ("supply", "ground", "data")
        severity = Severity.REWORK if needed else Severity.NOTE
        spot = Spot(mate, pin.cavity or "")
        yield _doubt(
            "doubtful-terminal-without-wire", text, spot, severity=severity, component=component,
            evidence=_read_at(pin),
        )  # fmt: skip


def _reached_elsewhere(study: Study, component: str, pin: Pin) -> bool:
    """Whether the same terminal has a wire through another cavity or without a plug."""
    index = study.index
    piece = index.piece_of[index.terminal[component, pin.terminal or ""]]
    return len(index.pieces_of[index.net_of[piece]]) > 1 or bool(
        index.cavities_of[piece]
        and any(study.vehicle.connectors[c].component is None for c, _ in index.cavities_of[piece])
    )


def _circuits(study: Study) -> Iterator[Finding]:
    """A circuit in one harness whose wires do not hang together there or through mates."""
    index = study.index
    nets: dict[str, dict[int, int]] = defaultdict(dict)
    for piece, names in enumerate(index.circuits_of):
        for name in names:
            nets[name].setdefault(index.net_of[piece], piece)
    for circuit, found in sorted(nets.items(), key=lambda item: natural_key(item[0])):
        if len(found) < 2:
            continue
        labels = {study.net_side(net).label for net in found}
        if labels <= {Label.GROUND} or _joined_by_elements(study, list(found)):
            continue  # one name for many grounds, or one name on both sides of a fuse or switch, is how manuals write
        spots = [_first_spot(study, piece, circuit) for piece in found.values()]
        places = ", ".join(str(spot) for spot in spots[:4])
        text = f"circuit {circuit} is in {len(found)} pieces that are not joined: {places}"
        evidence = Evidence(shown={"pieces": [str(spot) for spot in spots]})
        opened = any(study.net_side(net).open for net in found)
        yield _doubt("doubtful-circuit-in-pieces", text, spots[0], least(not opened), evidence=evidence)


def _joined_by_elements(study: Study, nets: list[int]) -> bool:
    """Whether fuses, switches, relays and resistors join all of some nets."""
    index, reach = study.index, study.reach
    seen = {nets[0]}
    queue = [nets[0]]
    for net in queue:
        for piece in index.pieces_of[net]:
            for other, edge in reach.steps[piece]:
                if edge >= 0 and index.net_of[other] in set(nets) - seen:
                    seen.add(index.net_of[other])
                    queue.append(index.net_of[other])
    return len(seen) == len(set(nets))


def _useless(study: Study) -> Iterator[Finding]:
    """A net of wires with no component terminal and no ground anywhere, its extent fully known."""
    index = study.index
    for pieces in index.pieces_of:
        if any(index.terminals_of[p] or p in index.open_at or p in index.ground_pieces for p in pieces):
            continue
        spots = [_first_spot(study, piece, next(iter(index.circuits_of[piece]), "")) for piece in pieces]
        spots = [spot for spot in spots if spot.connector]
        if spots:
            first = min(spots, key=lambda spot: (natural_key(spot.connector), natural_key(spot.cavity)))
            text = f"the wire at {first} leads to no component"
            yield _doubt("doubtful-wire-without-use", text, first)


def _unfused(study: Study) -> Iterator[Finding]:
    for end in unfused_ends(study):
        if end.component and end.terminal:
            text = (
                f"{named(study, end.component)} terminal {end.terminal} is fed with no fuse on the way from the battery"
            )
            certainty = least(end.sure)
            yield _doubt("doubtful-unfused-feed", text, Spot(*end.spot), certainty, component=end.component)


def _tied(study: Study) -> Iterator[Finding]:
    """A battery's plus that wires and plugs alone tie to the body: a short circuit as it stands in the file."""
    reach, index = study.reach, study.index
    for component in sorted(study.vehicle.netlist.components, key=lambda row: natural_key(row.id)):
        node = index.terminal.get((component.id, "+")) if component.kind == "battery" else None
        if node is None or index.piece_of[node] not in reach.grounded.ways:
            continue
        if is_of_positive_earth(study, component.id):
            continue
        way = reach.grounded.path(index.piece_of[node])
        pieces = [index.piece_of[node], *(piece for piece, _ in way)]
        spots = [_first_spot(study, piece, "") for piece in pieces]
        spot = next((one for one in spots if one.connector), NO_SPOT)
        words = {
            "own": f"Battery + of {named(study, component.id)}",
            "now": f"the body, {_stud_words(study, pieces)}joined by wire alone",
            "fuse": "a short circuit with no fuse on the way",
        }
        sure = not any(piece in index.likely_pieces for piece in pieces)
        yield make_finding("feed-to-ground", least(sure), spot, NO_SPOT, words, (component.id, ""))


def _positive_earth(study: Study) -> Iterator[Finding]:
    """A battery whose plus is the body: a car of that sort, or a battery that is turned round."""
    earth, battery = earth_of(study)
    if earth == "positive":
        words = {"part": named(study, battery)}
        text, do = POSITIVE_EARTH.format_map(words), POSITIVE_EARTH_DO
        spot, severity = plug_of(study, battery), turned_severity(study)
        yield make_finding(
            "reversed", Certainty.LIKELY, spot, NO_SPOT, {}, (battery, ""), severity=severity, text=text, do=do
        )


def _posts(study: Study) -> Iterator[Finding]:
    """A battery of which nobody wrote which post is plus: no current can be worked out."""
    for component in study.vehicle.netlist.components:
        names = {name for owner, name in study.index.terminal if owner == component.id}
        if component.kind != "battery" or not names or "+" in names:
            continue
        posts = ", ".join(sorted(names, key=natural_key))
        words = {"part": capital(named(study, component.id)), "posts": posts}
        yield make_finding(
            "doubtful-terminal-without-wire",
            Certainty.KNOWN,
            plug_of(study, component.id),
            NO_SPOT,
            words,
            (component.id, ""),
            _read_at(component),
            text=POSTS_NOT_NAMED.format_map(words),
            do=POSTS_NOT_NAMED_DO,
        )


def _stud_words(study: Study, pieces: list[int]) -> str:
    studs = [study.index.ground_pieces[piece] for piece in pieces if piece in study.index.ground_pieces]
    return f"{studs[0]}, " if studs else ""
