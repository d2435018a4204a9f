"""The values of this package as JSON would have them, and back."""

from dataclasses import asdict
from types import UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

Value = TypeVar("Value")


def plain(value: Any) -> dict[str, Any]:
    """A value of this package as JSON would have it: dicts, lists, numbers, words.

    Parameters
    ----------
    value : a dataclass of this package

    Returns
    -------
    dict
    """
    return {key: _listed(part) for key, part in asdict(value).items()}


def from_plain(kind: type[Value], data: Any) -> Value:
    """Make a value of this package again from what :func:`plain` gave, also after it has been JSON.

    Parameters
    ----------
    kind : type
        The dataclass.
    data : dict

    Returns
    -------
    Value

    Raises
    ------
    KeyError, TypeError
        If it is not the plain form of that dataclass.
    """
    hints = get_type_hints(kind)
    return kind(**{name: _made(hints[name], part) for name, part in data.items()})


def _listed(part: Any) -> Any:
    if isinstance(part, dict):
        return {key: _listed(each) for key, each in part.items()}
    return [_listed(each) for each in part] if isinstance(part, list | tuple) else part


def _made(hint: Any, part: Any) -> Any:
    if part is None:
        return None
    if get_origin(hint) in (UnionType, Union):
        hint = next(each for each in get_args(hint) if each is not type(None))
    if get_origin(hint) is tuple:
        inner = get_args(hint)
        if len(inner) == 2 and inner[1] is Ellipsis:
            return tuple(part) if inner[0] in (float, int, str) else tuple(_made(inner[0], each) for each in part)
        return tuple(_made(of, each) for of, each in zip(inner, part, strict=True))
    return from_plain(hint, part) if hasattr(hint, "__dataclass_fields__") else part
