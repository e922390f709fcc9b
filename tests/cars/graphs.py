"""A car as a labelled graph, for matchers that know nothing of cars."""

from __future__ import annotations

import networkx as nx

from harnesscheck.network.graph.sides import Study


def graph_of(study: Study) -> nx.Graph:
    """Connectors, their cavities, components and wires as nodes with a ``look`` that holds no name."""
    graph: nx.Graph = nx.Graph()
    vehicle, index = study.vehicle, study.index
    for row in vehicle.connectors.values():
        look = ("connector", len(row.cavities or ()), row.half, row.keyway, row.housing_colour, row.at)
        graph.add_node(("connector", row.id), look=look)
    for part in vehicle.components.values():
        graph.add_node(("component", part.id), look=("component", part.kind, part.at, part.amps, part.rating))
    for (connector, cavity), node in index.cavity.items():
        graph.add_node(("cavity", connector, cavity), look=("cavity", cavity))
        graph.add_edge(("connector", connector), ("cavity", connector, cavity))
        _on_piece(graph, index.piece_of[node], ("cavity", connector, cavity))
    for (component, terminal), node in index.terminal.items():
        graph.add_node(("terminal", component, terminal), look=("terminal", terminal))
        graph.add_edge(("component", component), ("terminal", component, terminal))
        _on_piece(graph, index.piece_of[node], ("terminal", component, terminal))
    for piece in index.ground_pieces:
        graph.add_node(("piece", piece), look=("piece", "grounded"))
    for row in vehicle.connectors.values():
        if row.mates is not None:
            graph.add_edge(("connector", row.id), ("connector", row.mates))
        if row.component is not None:
            graph.add_edge(("connector", row.id), ("component", row.component))
    return graph


def _on_piece(graph: nx.Graph, piece: int, node: tuple[str, ...]) -> None:
    if ("piece", piece) not in graph:
        graph.add_node(("piece", piece), look=("piece", "loose"))
    graph.add_edge(("piece", piece), node)
