"""Reading what a request says: unknown parts are refused (400), a value of the wrong type is a fault of its field (422)."""

import hashlib
from collections.abc import Iterable, Mapping
from typing import Any, Final

from rest_framework.request import Request

from surveys import records, rules
from surveys.api.collections.machine import Collection
from surveys.api.problems import Malformed, Place, escape, unknown_parameter
from surveys.api.rendering import dump
from surveys.api.serializers import Body
from surveys.api.typed import ID, Typed
from surveys.errors import Fault, Invalid, TooLarge

DEEDS: Final[Mapping[str, frozenset[str]]] = {
    "create": frozenset({"op", "values"}),
    "change": frozenset({"op", "id", "version", "values"}),
    "remove": frozenset({"op", "id", "version"}),
}
MOST_FAULTS: Final = 200


def parameters(request: Request, allowed: Iterable[str]) -> dict[str, str]:
    """The query's parameters, each once and not empty; unknown ones are refused, so that a typo never answers the whole list."""
    known = set(allowed)
    found: dict[str, str] = {}
    for name, values in request.query_params.lists():
        if name not in known:
            raise unknown_parameter(name, f"'{name[:80]}' is not a parameter here.{_offer(name, known)}", "unknown-parameter")
        if len(values) > 1:
            raise unknown_parameter(name, f"'{name}' is given {len(values)} times; give it once.", "twice")
        if not values[0]:
            hint = f" Use '{name}__isblank=true' for what is not recorded." if f"{name}__isblank" in known else ""
            raise unknown_parameter(name, f"'{name}' has no value.{hint}", "empty")
        if "\x00" in values[0]:
            raise unknown_parameter(name, f"'{name}' holds a character that cannot be printed.")
        found[name] = values[0]
    return found


def _offer(name: str, known: set[str]) -> str:
    import difflib

    near = difflib.get_close_matches(name, sorted(known), n=1, cutoff=0.6)
    return f" Did you mean '{near[0]}'?" if near else ""


def whole(text: str, low: int, high: int, parameter: str) -> int:
    """A whole number from a parameter."""
    if not text.isascii() or not text.isdigit() or len(text) > 19 or not low <= int(text) <= high:
        raise unknown_parameter(parameter, f"'{parameter}' is a whole number from {low:,} to {high:,}.")
    return int(text)


def truth(text: str, parameter: str) -> bool:
    """Yes or no from a parameter."""
    if text not in ("true", "false"):
        raise unknown_parameter(parameter, f"'{parameter}' is 'true' or 'false'.")
    return text == "true"


def _object(data: Any, what: str = "The body") -> Mapping[str, Any]:
    if not isinstance(data, Mapping):
        raise Invalid(f"{what} must be a JSON object.", faults=(Fault("", "type", f"{what} must be a JSON object."),))
    return data


def _refuse_unknown(given: Iterable[str], known: Iterable[str], base: str = "", derived: Iterable[str] = ()) -> None:
    known, derived = set(known), set(derived)
    places = []
    for name in given:
        if name in derived and name not in known:
            places.append(Place(f"{base}/{escape(name)}", "derived", f"'{name}' follows from other records and cannot be set."))
        elif name not in known:
            places.append(Place(f"{base}/{escape(name)}", "unknown-field", f"'{name[:80]}' is not a field here.{_offer(name, known)}"))
    if places:
        raise Malformed(places[0].detail, *places[:MOST_FAULTS], code="unknown-field")


def _type_faults(fields: Mapping[str, Any], values: Mapping[str, Any], row: int | None = None) -> list[Fault]:
    faults = []
    for name, value in values.items():
        field = fields[name]
        assert isinstance(field, Typed)
        wrong = field.fault(value)
        if wrong:
            faults.append(Fault(name, "required" if value is None else "type", wrong, row))
    return faults


def take(shape: type[Body], data: Any) -> dict[str, Any]:
    """A body of some shape: all that it needs, nothing else, each of its type."""
    fields = shape().fields
    given = _object(data)
    _refuse_unknown(given, fields)
    faults = _type_faults(fields, given)
    faults += [Fault(name, "required", "This is needed.") for name, field in fields.items() if field.required and name not in given]
    _refuse(faults)
    return dict(given)


def _refuse(faults: list[Fault]) -> None:
    if faults:
        more = f" ({len(faults) - 1} more)" if len(faults) > 1 else ""
        where = f"{faults[0].field}: " if faults[0].field else ""
        raise Invalid(f"{where}{faults[0].detail}{more}", faults=tuple(faults[:MOST_FAULTS]))


def values(collection: Collection, data: Any, *, whole_record: bool = False) -> dict[str, Any]:
    """The values of one record. With `whole_record`, what is not said is to be blank (positions and ordinals stay)."""
    given = dict(_object(data))
    fields = collection.values().fields
    _refuse_unknown(given, fields, derived=collection.names)
    faults = _type_faults(fields, given)
    if faults:
        wrong = {fault.field for fault in faults}
        rest = {name: value for name, value in given.items() if name not in wrong and name in collection.writable}
        faults += rules.clean(collection.model, rest)[1]
        _refuse(faults)
    if whole_record:
        for name, field in fields.items():
            if name not in given and (field.required or field.allow_null):
                given[name] = None
    return given


def operations(collection: Collection, data: Any) -> list[records.Operation]:
    """The rows of a batch. All faults of form are told at once, together with those of the values beside them."""
    body = _object(data)
    _refuse_unknown(body, {"operations"})
    rows = body.get("operations")
    if not isinstance(rows, list) or not rows:
        text = "Give the operations as a list of one or more."
        raise Invalid(text, faults=(Fault("operations", "required" if rows is None else "type", text),))
    if len(rows) > records.MOST:
        raise TooLarge(f"A batch holds at most {records.MOST:,} rows; this one has {len(rows):,}. Send it in parts.")
    fields = collection.values().fields
    faults: list[Fault] = []
    for number, row in enumerate(rows):
        faults += _row_faults(collection, fields, row, number)
    if faults:
        bad = {(fault.row, fault.field) for fault in faults}
        for number, row in enumerate(rows):
            if isinstance(row, Mapping) and isinstance(row.get("values"), Mapping):
                rest = {name: value for name, value in row["values"].items() if (number, name) not in bad and name in collection.writable}
                faults += [Fault(one.field, one.code, one.detail, number) for one in rules.clean(collection.model, rest)[1]]
        _refuse(sorted(faults, key=lambda fault: fault.row or 0))
    return [records.Operation(row["op"], row.get("values", {}), row.get("id"), row.get("version")) for row in rows]


def _row_faults(collection: Collection, fields: Mapping[str, Any], row: Any, number: int) -> list[Fault]:
    if not isinstance(row, Mapping) or row.get("op") not in tuple(DEEDS):
        return [Fault("", "type", "A row is an object whose 'op' is 'create', 'change' or 'remove'.", number)]
    takes = DEEDS[row["op"]]
    _refuse_unknown(row, takes, f"/operations/{number}")
    missing = sorted(takes - set(row))
    if missing:
        return [Fault("", "required", f"A row that says '{row['op']}' needs '{missing[0]}'.", number)]
    faults = []
    if "id" in takes and not (isinstance(row["id"], str) and ID.fullmatch(row["id"])):
        faults.append(Fault("", "type", "'id' must be the id of a record.", number))
    if "version" in takes and (isinstance(row["version"], bool) or not isinstance(row["version"], int)):
        faults.append(Fault("", "type", "'version' must be the number of the version that was changed.", number))
    if "values" in takes:
        if not isinstance(row["values"], Mapping):
            return [*faults, Fault("", "type", "'values' must be an object.", number)]
        _refuse_unknown(row["values"], fields, f"/operations/{number}/values", collection.names)
        faults += _type_faults(fields, row["values"], number)
    return faults


def digest(request: Request, body: Any) -> str:
    """What a request asks for, and of which version, so that a key used for something else is noticed."""
    version = request.headers.get("If-Match")
    asked = [request.method, request.path.rstrip("/"), body, *([version] if version is not None else [])]
    return hashlib.sha256(dump(asked, sort=True)).hexdigest()
