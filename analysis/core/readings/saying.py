"""A reading in words: what it rests on, and the one sentence with the numbers."""

from collections.abc import Sequence
from dataclasses import replace

from analysis.core.elements import Element
from analysis.core.readings.values import Making, Reading, Span
from analysis.core.readings.weighing import Signs


def because(element: Element, signs: Signs, known: Sequence[int], begins: int, makings: Sequence[Making]) -> tuple[str, ...]:
    """What a reading rests on, as sentences; nothing of it is a conclusion."""
    said = []
    older = [index for index, one in enumerate(known) if one < begins and not signs.alone[index]]
    lacks = [index for index in older if not signs.shown[index]]
    if lacks:
        rarest = 1.0
        for index in lacks:
            rarest *= 1.0 - signs.rates[index]
        which = (
            f"generation {known[lacks[0]]}" if len(lacks) == 1 else f"all {len(lacks)} generations that it lacks before generation {begins}"
        )
        said.append(
            f"An element that stood from the start would lack {which} in about {_percent(rarest)} of cases, as the others carry them."
        )
    by_state: dict[str, list[str]] = {}
    for sample in element.samples:
        by_state.setdefault(sample.base_state or "not recorded", []).append(sample.key)
    said += [f"The base is {state} in {_list(sorted(names))}." for state, names in sorted(by_state.items())]
    if signs.residue:
        said.append("Residue, traces, or a scraped, scorched or weathered surface lie under its first film.")
    own = [str(one) for index, one in enumerate(known) if signs.alone[index] and one < begins]
    if own:
        said.append(
            f"{'Generation' if len(own) == 1 else 'Generations'} {_list(own)} {'is' if len(own) == 1 else 'are'} shown by no other element."
        )
    for one in makings:
        said.append(f"{one.label} says that it was made {_made(one)}{_against(one, signs)}.")
    unsure = [str(one) for index, one in enumerate(known) if signs.shown[index] and signs.open[index] > 0.5 and one <= begins]
    if unsure:
        said.append(
            f"Its films in {'generation' if len(unsure) == 1 else 'generations'} {_list(unsure)} are placed with little confidence."
        )
    return tuple(said)


def _against(one: Making, signs: Signs) -> str:
    if not signs.possible:
        return ", which fits no place among the generations"
    return ", later than the first paint of the space" if 0 not in signs.possible and one.earliest is not None else ""


def _made(one: Making) -> str:
    if one.earliest is not None and one.earliest == one.latest:
        return f"in {_year(one.earliest)}"
    if one.earliest is not None and one.latest is not None:
        return f"between {_year(one.earliest)} and {_year(one.latest)}"
    return f"not before {_year(one.earliest)}" if one.earliest is not None else f"not after {_year(one.latest or 0)}"


def sentence(found: Reading, element: Element, spans: Sequence[Span]) -> Reading:
    """Put a reading into one sentence."""
    name = f"{found.element_class[:1].upper()}{found.element_class[1:]} {found.element}"
    if not found.carried:
        layers = sum(len(sample.layers) for sample in element.samples)
        why = (
            "no layer of it is placed in a generation"
            if layers
            else "no layer of it is recorded"
            if element.samples
            else "it has no sample"
        )
        return replace(found, sentence=f"{name}: no evidence, for {why}.")
    numbers = f"{name} carries {len(found.carried)} of the {_count(len(found.could), 'generation')} that it could"
    if found.neighbours.elements:
        numbers += f", where {_neighbours(found)}"
    return replace(found, sentence=f"{numbers}; {_conclusion(found, spans)}.")


def _neighbours(found: Reading) -> str:
    near = found.neighbours
    many = "one neighbour carries" if near.elements == 1 else f"{near.elements} neighbours carry"
    if near.fewest == near.most:
        return f"{'its ' if near.elements > 1 else ''}{many} {near.most}"
    return f"its {many} {near.fewest} to {near.most}, half of them {near.median} or more"


def _conclusion(found: Reading, spans: Sequence[Span]) -> str:
    assert found.begins is not None
    at = f"it starts at generation {found.begins}{_years(found.begins, spans)}"
    sure = "" if found.certainty is None else f" ({_percent(found.certainty)})"
    below = [str(one) for one in found.carried if one < found.begins]
    which = f"{'generation' if len(below) == 1 else 'generations'} {_list(below)}" if below else ""
    if found.conclusion == "reused":
        what = f"its films in {which} fit no neighbour" if below else "its films fit no neighbour"
        return f"{what}: brought from elsewhere, and set up before generation {found.begins}{_years(found.begins, spans)}{sure}"
    misplaced = f", if what stands in {which} is misplaced" if below else ""
    if found.conclusion == "from the start":
        return _from_the_start(found, at, sure, spans)
    if found.conclusion == "inserted or stripped":
        return f"{at}{misplaced}: inserted about then or stripped before{sure}; {_what_would_tell(found)}"
    said = {
        "inserted": f"{at}{misplaced}: inserted about then{sure}",
        "stripped": f"{at}{misplaced}: stripped before{sure}",
        "beginning not seen": f"{at}, but no sample reaches its substrate, so its beginning is not seen",
    }
    undecided = f"what it shows does not decide between {_likeliest(found)}" if found.chances else "nothing decides why"
    return said.get(found.conclusion, f"{at}, and {undecided}")


def _from_the_start(found: Reading, at: str, sure: str, spans: Sequence[Span]) -> str:
    lowest = min(span.ordinal for span in spans)
    near = found.neighbours
    if found.first == lowest:
        return f"it reaches generation {lowest}{sure}"
    if near.earlier == 0:
        return f"{at}, as early as any of them{sure}"
    if near.earlier * 2 <= near.elements:
        return f"{at}, as early as all but {near.earlier} of them{sure}"
    return f"{at}, as an element may that the earlier campaigns left out{sure}"


def _what_would_tell(found: Reading) -> str:
    if any(line.startswith("The base is") and ("unknown" in line or "not recorded" in line) for line in found.because):
        return "the state of its base would tell"
    return "evidence of when it was made would tell"


def _likeliest(found: Reading) -> str:
    ranked = sorted(found.chances, key=lambda one: -one[1])[:2]
    return " and ".join(f"{history} ({_percent(chance)})" for history, chance in ranked)


def _years(ordinal: int, spans: Sequence[Span]) -> str:
    span = next((one for one in spans if one.ordinal == ordinal), None)
    if span is None or (span.earliest is None and span.latest is None):
        return ""
    if span.earliest is not None and span.latest is not None:
        if span.earliest == span.latest:
            return f" of {_year(span.earliest)}"
        return f" of {_year(span.earliest)} to {_year(span.latest)}"
    return f", not before {_year(span.earliest)}" if span.earliest is not None else f", not after {_year(span.latest or 0)}"


def _year(year: int) -> str:
    return f"{-year} BCE" if year < 0 else str(year)


def _percent(value: float) -> str:
    whole = round(value * 100)
    if whole == 100 and value < 1:
        return "over 99 %"
    return f"{whole} %" if whole else "under 1 %"


def _count(many: int, one: str) -> str:
    return f"{many:,} {one}{'' if many == 1 else 's'}"


def _list(items: Sequence[str]) -> str:
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
