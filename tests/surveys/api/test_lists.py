"""Lists: filters, search, order, pages, and what they cost."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from surveys import records
from surveys.api.collections import BY_NAME, RECORDS
from surveys.api.collections.machine import ANYTHING
from surveys.api.filters import filters_of
from surveys.models import Element, Evidence, Generation, Layer, Phase, Ruling, Sample, Space
from tests.conftest import Paint
from tests.surveys.api.conftest import problem, rows


@pytest.fixture
def make(cast, project):
    return lambda model, **values: records.create(cast.conservator, project, model, values)


def names(api, path, name="name"):
    return [row[name] for row in rows(api("owner").get(path))]


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", ["101-1/1", "101-1/2", "101-1/3", "101-2/1", "101-2/2", "101-2/3"]),
        ("space=101&sample_number=101-1", ["101-1/1", "101-1/2", "101-1/3"]),
        ("space=102", []),
        ("sample=101-2&kind=primer", ["101-2/1"]),
        ("element=101-BB&position__gte=2", ["101-1/2", "101-1/3"]),
        ("element_code=101-DL&position__lte=1", ["101-2/1"]),
        ("position=2", ["101-1/2", "101-2/2"]),
        ("position__in=1,3&sample=101-1", ["101-1/1", "101-1/3"]),
        ("kind__in=primer,varnish", ["101-1/1", "101-2/1"]),
        ("colour__icontains=GRE", ["101-1/1", "101-1/2", "101-2/1", "101-2/2"]),
        ("munsell=5GY%206/4", ["101-1/2", "101-2/2"]),
        ("colour__isblank=true", []),
        ("uv_colour__isblank=true&position=1", ["101-1/1", "101-2/1"]),
        ("thickness_um__isblank=false", []),
        ("generation_ordinal=1", []),
        ("generation__isblank=true&position=3", ["101-1/3", "101-2/3"]),
        ("name=101-1/2", ["101-1/2"]),
        ("search=cream%20101-BB", ["101-1/3"]),
        ("ordering=-position,sample_number", ["101-1/3", "101-2/3", "101-1/2", "101-2/2", "101-1/1", "101-2/1"]),
        ("created_at__gte=2020-01-01T00:00:00Z&position=1", ["101-1/1", "101-2/1"]),
        ("created_at__lte=2020-01-01T00:00:00Z", []),
    ],
)
def test_a_list_of_layers_holds_what_its_filters_let_through(api, paint, query, found):
    assert names(api, f"layers/?{query}") == found


def test_a_reference_is_found_by_id_as_by_name(api, paint):
    for path in (f"samples/?space={paint.space.pk}", "samples/?space=101", f"samples/?element__in=101-BB,{paint.door.pk}"):
        assert names(api, path, "number") == ["101-1", "101-2"]
    assert names(api, f"layers/?sample={paint.second.pk}&position=1") == ["101-2/1"]


def test_dates_and_numbers_are_narrowed_from_both_sides(api, make, paint):
    for day, height in ((1, 10.5), (2, 20.0), (3, None)):
        make(Sample, number=f"K-{day}", element=paint.door.pk, taken_on=f"2026-05-0{day}", height_mm=height)
    assert names(api, "samples/?taken_on__gte=2026-05-02&taken_on__lte=2026-05-03", "number") == ["K-2", "K-3"]
    assert names(api, "samples/?height_mm__gte=10.5&height_mm__lte=15", "number") == ["K-1"]
    assert names(api, "samples/?height_mm__isblank=true&number__icontains=k-", "number") == ["K-3"]
    assert names(api, "samples/?height_mm__in=20,10.5", "number") == ["K-1", "K-2"]


def test_placed_layers_are_found_by_their_generation(api, make, cast, project, paint):
    generation = make(Generation, space=paint.space.pk)
    layer = paint.layers["101-1"][0]
    records.change(cast.conservator, project, Layer, layer.pk, layer.version, {"generation": generation.pk})
    for query in ("generation_ordinal=1", f"generation={generation.pk}", "placed_by=by%20hand", "confidence__gte=0.9"):
        assert names(api, f"layers/?{query}") == ["101-1/1"]


VALUES = {"text": "zz", "whole": "1", "number": "1.5", "day": "2026-05-14", "moment": "2026-05-14T09:30:00Z", "truth": "true"}


OTHERS = ("members", "jobs", "uploads", "comments", "questions", "traverses", "registrations", "measurements")


@pytest.mark.parametrize("name", [*(collection.name for collection in RECORDS), *OTHERS])
def test_every_filter_of_every_list_is_read_and_answered(api, paint, name):
    """Each by itself, as its kind is written and as nothing is; none fails, and a value that no record has answers nothing."""
    columns = BY_NAME[name].columns | {one.name: one for one in BY_NAME[name].also}
    for parameter, made in filters_of(name).items():
        column = columns.get(parameter.partition("__")[0])
        kind = column.kind if column else "reference"
        value = column.words[0] if column and kind == "word" else VALUES.get(kind, "6f9619ff-8b86-4d01-b42d-00cf4fc964ff")
        if parameter.endswith("__isblank"):
            value = "true"
        elif made.schema.get("description", "").endswith("ordinal."):
            value = "7"
        found = rows(api("owner").get(f"{name}/?{parameter}={value.replace('+', '%2B')}"))
        if kind == "text" and not parameter.endswith("__isblank"):
            assert found == []
        told = problem(api("owner").get(f"{name}/?{parameter}=a%00b"), 400)
        assert told["errors"][0]["parameter"] == parameter


def test_every_column_that_is_one_value_can_be_filtered():
    for collection in BY_NAME.values():
        for column in collection.columns.values():
            assert column.kind == ANYTHING or column.name in filters_of(collection.name)


@pytest.mark.parametrize(
    ("query", "parameter"),
    [
        ("colr=cream", "colr"),
        ("colour=", "colour"),
        ("colour=a&colour=b", "colour"),
        ("position=two", "position"),
        ("position=99999999999999999999", "position"),
        ("position__in=1,x", "position__in"),
        ("kind=primmer", "kind"),
        ("id=7", "id"),
        ("created_at__gte=yesterday", "created_at__gte"),
        ("created_at__gte=0001-01-01T00:00:00%2B14:00", "created_at__gte"),
        ("thickness_um=nan", "thickness_um"),
        ("thickness_um__isblank=perhaps", "thickness_um__isblank"),
        ("colour=a%00b", "colour"),
        ("search=a%00b", "search"),
        ("search=" + "x" * 201, "search"),
        ("ordering=colr", "ordering"),
        ("ordering=position,-position", "ordering"),
        ("fields=id,colr", "fields"),
        ("page_size=0", "page_size"),
        ("page_size=1001", "page_size"),
        ("page_size=null", "page_size"),
        ("count=yes", "count"),
        ("cursor=xyz", "cursor"),
        ("cursor=W10", "cursor"),
    ],
)
def test_a_parameter_that_cannot_be_read_never_answers_the_whole_list(api, paint, query, parameter):
    told = problem(api("owner").get(f"layers/?{query}"), 400)
    assert told["errors"][0]["parameter"] == parameter


def test_a_cursor_of_another_order_is_refused(api, paint):
    cursor = api("owner").get("layers/?page_size=2").json()["cursor"]
    problem(api("owner").get(f"layers/?page_size=2&ordering=-position&cursor={cursor}"), 400)


def test_only_the_fields_asked_for_are_answered(api, paint):
    found = rows(api("owner").get("layers/?fields=name,munsell&page_size=2"))
    assert found == [{"name": "101-1/1", "munsell": "N 6"}, {"name": "101-1/2", "munsell": "5GY 6/4"}]


def test_the_number_of_all_is_told_when_asked_for(api, paint):
    told = api("owner").get("layers/?page_size=2&position__gte=2&count=true").json()
    assert (told["count"], len(told["results"])) == (4, 2)
    assert "count" not in api("owner").get("layers/").json()


def walk(api, path):
    """All rows of a list, page by page, by the addresses that the pages give."""
    found, address = [], path
    while address:
        told = api("owner").get(address).json()
        found += told["results"]
        address = told["next"]
    return found


@pytest.mark.parametrize(
    "ordering",
    ["number", "-number", "taken_on", "-taken_on", "height_mm,-taken_on", "-status,height_mm", "element_class,-created_at", "-id"],
)
def test_pages_are_the_list_in_any_order_with_blanks_and_ties(api, make, paint, ordering):
    for number in range(11):
        make(
            Sample,
            number=f"K-{number:02}",
            element=(paint.door if number % 2 else paint.baseboard).pk,
            taken_on=None if number % 4 == 0 else f"2026-05-{1 + number % 3:02}",
            height_mm=None if number % 3 == 0 else number % 2 + 0.1,
            status="" if number % 5 else "taken",
        )
    whole = [row["id"] for row in rows(api("owner").get(f"samples/?ordering={ordering}&page_size=1000"))]
    assert len(set(whole)) == 13
    for size in (1, 3, 7):
        assert [row["id"] for row in walk(api, f"samples/?ordering={ordering}&page_size={size}")] == whole
    assert whole == expected_order(ordering)


def expected_order(ordering):
    """The same order by Python's own sort, last column first; what is not recorded is below everything."""
    found = sorted(Sample.objects.select_related("element"), key=lambda sample: sample.pk)
    low = {"height_mm": -1e9, "taken_on": dt.date.min}
    for name in reversed(ordering.split(",")):
        bare = name.removeprefix("-")

        def key(sample, bare=bare):
            value = sample.element.element_class if bare == "element_class" else getattr(sample, bare)
            return low[bare] if value is None else value

        found.sort(key=key, reverse=name.startswith("-"))
    return [str(sample.pk) for sample in found]


def test_pages_neither_miss_nor_repeat_when_others_put_in_and_take_out(api, cast, project, make, paint):
    for number in range(10, 20):
        make(Space, number=f"S{number}")
    first = api("owner").get("spaces/?ordering=number&page_size=4&number__icontains=S").json()
    make(Space, number="S10a")
    make(Space, number="S15a")
    gone = Space.objects.get(number="S11")
    records.remove(cast.conservator, project, Space, gone.pk, gone.version)
    rest = walk(api, first["next"])
    assert [row["number"] for row in first["results"]] == ["S10", "S11", "S12", "S13"]
    assert [row["number"] for row in rest] == ["S14", "S15", "S15a", "S16", "S17", "S18", "S19"]


# Session, person, project with role; then the list itself, and one more for the count.
COST = 4
COST_COUNTED = 5


def grow(make, paint, many):
    for number in range(many):
        space = make(Space, number=f"9{number:03}")
        element = make(Element, code=f"E{number}", space=space.pk, element_class="wall")
        sample = make(Sample, number=f"G{number}", element=element.pk)
        first, second = (make(Layer, sample=sample.pk, kind="paint") for _ in range(2))
        make(Ruling, kind="bar", first_layer=first.pk, second_layer=second.pk)
        phase = make(Phase, label=str(number))
        make(Generation, space=space.pk, phase=phase.pk)
        make(Evidence, reference=f"D{number}", statement="x", bears_on="space", space=space.pk)


def cost(api, path):
    owner = api("owner")
    with CaptureQueriesContext(
        connection,
    ) as caught:
        assert owner.get(path).status_code == 200
    return len(caught)


@pytest.mark.parametrize("many", [3, 30])
def test_a_list_costs_the_same_however_long_it_is(api, make, paint, many):
    grow(make, paint, many)
    lists = [collection.name for collection in RECORDS]
    assert {name: cost(api, f"{name}/?page_size=1000") for name in lists} == dict.fromkeys(lists, COST)
    assert {name: cost(api, f"{name}/?search=x&ordering=-created_at&count=true") for name in lists} == dict.fromkeys(lists, COST_COUNTED)
    assert cost(api, "members/") == cost(api, "jobs/") == cost(api, "uploads/") == COST


def test_a_list_holds_records_of_its_own_project_only(api, cast, paint):
    other = records.create_project(cast.owner, {"code": "OTHER", "name": "Other"})
    Paint(cast_of(cast), other, "501")
    assert {row["sample_number"] for row in rows(api("owner").get("layers/"))} == {"101-1", "101-2"}
    assert {row["sample_number"] for row in rows(api("owner").get("/api/v1/projects/OTHER/layers/"))} == {"501-1", "501-2"}
    assert names(api, "layers/?space=501") == []


class cast_of:
    def __init__(self, cast):
        self.conservator = cast.owner
