"""From pairs of generations to campaigns: one generation of a space at most, and nothing that phases or bounds forbid."""

from collections.abc import Mapping, Sequence

from analysis.core.campaigns.values import Campaign, Facts, Key, Pair


def join(pairs: Sequence[Pair], facts: Mapping[Key, Facts]) -> tuple[Campaign, ...]:
    """Put pairs together, the surest first, as long as each campaign stays possible.

    Parameters
    ----------
    pairs : sequence of Pair
        Those that are sure enough, in any order.
    facts : mapping of tuple to Facts
        Of every generation.

    Returns
    -------
    tuple of Campaign
        The surest first. A campaign whose generations are all in one phase already is left out, for there is nothing to offer.
    """
    group_of: dict[Key, int] = {}
    members: dict[int, set[Key]] = {}
    kept: dict[int, list[Pair]] = {}
    for number, pair in enumerate(sorted(pairs, key=lambda one: (-round(one.chance, 9), one.first, one.second))):
        groups = {group_of.get(key) for key in (pair.first, pair.second)} - {None}
        together = {pair.first, pair.second}.union(*(members[group] for group in groups if group is not None))
        if len({space for space, _ in together}) < len(together) or not _possible([facts[key] for key in together]):
            continue
        found = [pair] + [one for group in groups if group is not None for one in kept.pop(group)]
        for group in groups:
            members.pop(group if group is not None else -1)
        members[number], kept[number] = together, found
        group_of |= dict.fromkeys(together, number)
    made = [_campaign(tuple(sorted(members[group])), kept[group], facts) for group in members]
    offered = [one for one in made if not (one.phases and all(facts[key].phase for key in one.generations))]
    return tuple(sorted(offered, key=lambda one: (-round(one.chance, 9), one.generations)))


def _bounds(facts: Sequence[Facts]) -> tuple[int | None, int | None]:
    low = max((one.earliest for one in facts if one.earliest is not None), default=None)
    high = min((one.latest for one in facts if one.latest is not None), default=None)
    return low, high


def _possible(facts: Sequence[Facts]) -> bool:
    low, high = _bounds(facts)
    return len({one.phase for one in facts if one.phase is not None}) < 2 and (low is None or high is None or low <= high)


def _campaign(generations: tuple[Key, ...], pairs: list[Pair], facts: Mapping[Key, Facts]) -> Campaign:
    low, high = _bounds([facts[key] for key in generations])
    phases = tuple(sorted({phase for key in generations if (phase := facts[key].phase) is not None}))
    ordered = tuple(sorted(pairs, key=lambda one: (-round(one.chance, 9), one.first, one.second)))
    return Campaign(generations, min(one.chance for one in pairs), ordered, phases, low, high)
