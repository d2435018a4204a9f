"""The demonstration workbook as it lies in the checkout, read once for all tests."""

import csv
import importlib.util
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import openpyxl
import pytest

DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo"

Rows = list[dict[str, object]]
Sheets = dict[str, Rows]


@pytest.fixture(scope="session")
def sheets() -> Sheets:
    """Every sheet as rows by column name."""
    book = openpyxl.load_workbook(DEMO / "demo.xlsx")
    found: Sheets = {}
    for sheet in book:
        header, *rows = sheet.iter_rows(values_only=True)
        found[sheet.title] = [dict(zip((str(name) for name in header), row, strict=True)) for row in rows]
    return found


@pytest.fixture(scope="session")
def truth() -> dict[tuple[str, int], tuple[str, str]]:
    """Space and campaign of every layer, by sample and position."""
    with (DEMO / "truth.csv").open(encoding="utf-8", newline="") as lines:
        return {(row["sample"], int(row["position"])): (row["space"], row["campaign"]) for row in csv.DictReader(lines)}


@pytest.fixture(scope="session")
def maker() -> Iterator[ModuleType]:
    """The program that makes the demonstration, loaded as it would be run."""
    sys.path.insert(0, str(DEMO))
    try:
        spec = importlib.util.spec_from_file_location("make_demo", DEMO / "make_demo.py")
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        yield module
    finally:
        sys.path.remove(str(DEMO))
