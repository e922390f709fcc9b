"""One-to-one assignment with the option of no partner, over sparse scores.

Rows and columns that compete with each other form small groups; a group whose
best choices do not collide is taken as it stands, the others are solved exactly
by shortest augmenting paths [1]_. Groups above ``LARGEST`` are taken greedily.

References
----------
.. [1] R. Jonker, A. Volgenant, "A shortest augmenting path algorithm for dense
   and sparse linear assignment problems", Computing 38, 1987.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

from harnesscheck.network.graph.index import UnionFind

LARGEST = 60  # rows of a group that is still solved exactly

Entry = tuple[int, int, float]  # row, column, gain over having no partner


def assigned(entries: Sequence[Entry]) -> list[int]:
    """The numbers of the entries that together gain most, each row and column at most once.

    Only entries with a gain above zero are taken. Ties fall to the smaller row, then column.
    """
    useful = [number for number, (_, _, gain) in enumerate(entries) if gain > 0]
    in_row = Counter(entries[number][0] for number in useful)
    in_column = Counter(entries[number][1] for number in useful)
    disputed = [n for n in useful if in_row[entries[n][0]] > 1 or in_column[entries[n][1]] > 1]
    chosen = sorted(set(useful).difference(disputed))
    for group in _groups(entries, disputed):
        simple = _undisputed(entries, group)
        if simple is None:
            rows = {entries[number][0] for number in group}
            simple = _greedy(entries, group) if len(rows) > LARGEST else _exact(entries, group)
        chosen += simple
    return sorted(chosen)


def _groups(entries: Sequence[Entry], useful: Sequence[int]) -> list[list[int]]:
    row_at: dict[int, int] = {}
    column_at: dict[int, int] = {}
    sets = UnionFind(len(useful))
    for at, number in enumerate(useful):
        row, column, _ = entries[number]
        sets.union(at, row_at.setdefault(row, at))
        sets.union(at, column_at.setdefault(column, at))
    groups: dict[int, list[int]] = defaultdict(list)
    for at, number in enumerate(useful):
        groups[sets.find(at)].append(number)
    return list(groups.values())


def _undisputed(entries: Sequence[Entry], group: Sequence[int]) -> list[int] | None:
    """Every row's best entry, if no two rows want one column."""
    best: dict[int, int] = {}
    for number in group:
        row, column, gain = entries[number]
        held = best.get(row)
        if held is None or (gain, -column) > (entries[held][2], -entries[held][1]):
            best[row] = number
    columns = {entries[number][1] for number in best.values()}
    return list(best.values()) if len(columns) == len(best) else None


def _greedy(entries: Sequence[Entry], group: Sequence[int]) -> list[int]:
    rows: set[int] = set()
    columns: set[int] = set()
    chosen = []
    for number in sorted(group, key=lambda n: (-entries[n][2], entries[n][0], entries[n][1])):
        row, column, _ = entries[number]
        if row not in rows and column not in columns:
            rows.add(row)
            columns.add(column)
            chosen.append(number)
    return chosen


def _exact(entries: Sequence[Entry], group: Sequence[int]) -> list[int]:
    rows = sorted({entries[number][0] for number in group})
    columns = sorted({entries[number][1] for number in group})
    at_row, at_column = ({id: n for n, id in enumerate(ids)} for ids in (rows, columns))
    # every row has a column of its own for having no partner, at a cost of zero
    width = len(columns) + len(rows)
    cost = [[0.0] * width for _ in rows]
    entry_at: dict[tuple[int, int], int] = {}
    for number in group:
        row, column, gain = entries[number]
        place = (at_row[row], at_column[column])
        if place not in entry_at or -gain < cost[place[0]][place[1]]:
            entry_at[place] = number
            cost[place[0]][place[1]] = -gain
    return [
        entry_at[row, column]
        for row, column in enumerate(least_cost(cost))
        if (row, column) in entry_at and column < len(columns)
    ]


def least_cost(cost: Sequence[Sequence[float]]) -> list[int]:
    """The column of every row of a table with no fewer columns than rows, at the least total cost [1]_."""
    rows, width = len(cost), len(cost[0]) if cost else 0
    row_price, column_price = [0.0] * (rows + 1), [0.0] * (width + 1)
    row_of = [0] * (width + 1)  # 1-based row that holds each column; column 0 is the row being placed
    for row in range(1, rows + 1):
        row_of[0] = row
        _place(cost, row_of, row_price, column_price, width)
    columns = [0] * rows
    for column in range(1, width + 1):
        if row_of[column]:
            columns[row_of[column] - 1] = column - 1
    return columns


def _place(
    cost: Sequence[Sequence[float]], row_of: list[int], row_price: list[float], column_price: list[float],
    width: int,
) -> None:  # fmt: skip
    """Give the row at column 0 a column by the shortest path of reassignments."""
    distance, came, done = [float("inf")] * (width + 1), [0] * (width + 1), [False] * (width + 1)
    here = 0
    while row_of[here]:
        done[here] = True
        row, step, nearest = row_of[here], float("inf"), 0
        for column in range(1, width + 1):
            if done[column]:
                continue
            reduced = cost[row - 1][column - 1] - row_price[row] - column_price[column]
            if reduced < distance[column]:
                distance[column], came[column] = reduced, here
            if distance[column] < step:
                step, nearest = distance[column], column
        for column in range(width + 1):
            if done[column]:
                row_price[row_of[column]] += step
                column_price[column] -= step
            else:
                distance[column] -= step
        here = nearest
    while here:
        row_of[here] = row_of[came[here]]
        here = came[here]
