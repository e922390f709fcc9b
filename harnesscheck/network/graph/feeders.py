"""Where the current comes into a net: the terminals a feed arrives at."""

from __future__ import annotations

from harnesscheck.network.graph.sides import Study


def feeders(study: Study, net: int) -> frozenset[tuple[str, str]]:
    """The terminals (component, name) through which a net is or could be fed from outside it; battery + too."""
    index, reach = study.index, study.reach
    own = set(index.pieces_of[net])
    found: set[tuple[str, str]] = set()
    for piece in sorted(own):
        if piece in reach.sources:
            found |= {
                (component, name)
                for component, name in index.terminals_of[piece]
                if name == "+" and study.vehicle.components[component].kind == "battery"
            }
        for other, edge in reach.steps[piece]:
            if edge >= 0 and other not in own and _is_fed_without(study, other, own):
                component = reach.elements[edge].component
                found |= {key for key in index.terminals_of[piece] if key[0] == component}
    return frozenset(found)


def _is_fed_without(study: Study, piece: int, own: set[int]) -> bool:
    """Whether a piece is fed by a way that does not come through the net itself."""
    reach = study.reach
    for tree in (*reach.feed_sure, *reach.feed_maybe):
        if piece in tree.ways and not any(step[0] in own for step in tree.path(piece)):
            return True
    return False
