"""Which standing generation each newly found one continues, so that names, dates and phases stay with what they were said of."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

HELD = 1_000_000.0


@dataclass(frozen=True, slots=True)
class Continued:
    """How found generations follow on standing ones.

    `names` has for each found generation, oldest first, the id of the standing one that it continues, or None for a new one.
    `order` is all that will be there, oldest first: a found one by its place in `names`, an empty one that must stay by its id.
    `dropped` are the standing ones that nothing continues and nobody named.
    """

    names: tuple[str | None, ...]
    order: tuple[int | str, ...]
    dropped: tuple[str, ...]


def continued(
    standing: Sequence[str], held: Sequence[str], layers: Iterable[tuple[str, int]], cited: Collection[str] = frozenset()
) -> Continued:
    """Let each found generation continue the standing one whose layers it mostly has, in order.

    `standing` are ids, oldest first; `held` for each found generation the id of the one that a hold names, or ''; `layers` for each layer
    the id of the generation in which it stands and the number (1 = oldest) of the one found for it; `cited` must stay, even empty.
    """
    place = {name: index for index, name in enumerate(standing)}
    shared = [[0.0] * len(standing) for _ in held]
    for name, ordinal in layers:
        if name in place:
            shared[ordinal - 1][place[name]] += 1.0
    for index, name in enumerate(held):
        if name in place:
            shared[index][place[name]] += HELD  # a hold names it: it is that one
    kept = {old: new for new, old in match_in_order(shared)}
    names: list[str | None] = [None] * len(held)
    for old, new in kept.items():
        names[new] = standing[old]
    order: list[int | str] = []
    waiting = 0
    for index, name in enumerate(standing):
        if index in kept:
            order += range(waiting, kept[index] + 1)
            waiting = kept[index] + 1
        elif name in cited:
            order.append(name)
    order += range(waiting, len(held))
    gone = tuple(name for index, name in enumerate(standing) if index not in kept and name not in cited)
    return Continued(tuple(names), tuple(order), gone)


def match_in_order(shared: Sequence[Sequence[float]]) -> list[tuple[int, int]]:
    """Pairs (found, standing) that share most layers in sum, both rising: no found generation crosses another.

    Ties go to the older pair, so that the answer does not depend on chance. Cost: found x standing.
    """
    rows, columns = len(shared), len(shared[0]) if shared else 0
    best = [[0.0] * (columns + 1) for _ in range(rows + 1)]
    for row in range(rows - 1, -1, -1):
        for column in range(columns - 1, -1, -1):
            take = shared[row][column] + best[row + 1][column + 1] if shared[row][column] > 0 else -1.0
            best[row][column] = max(take, best[row + 1][column], best[row][column + 1])
    pairs: list[tuple[int, int]] = []
    row = column = 0
    while row < rows and column < columns:
        if shared[row][column] > 0 and best[row][column] == shared[row][column] + best[row + 1][column + 1]:
            pairs.append((row, column))
            row, column = row + 1, column + 1
        elif best[row][column] == best[row][column + 1]:
            column += 1
        else:
            row += 1
    return pairs
