"""What is brought back refers to records of its own project only, whatever stands in the line of history that it is made from."""

import uuid

import pytest

from surveys import records
from surveys.errors import Conflict
from surveys.models import Change, Evidence, Generation, Layer
from tests.conftest import Paint


@pytest.fixture
def mill(cast):
    """Another project, with everything that a reference could lead to."""
    made = records.create_project(cast.conservator, {"code": "MILL", "name": "The mill"})
    paint = Paint.__new__(Paint)
    Paint.__init__(paint, cast, made, "M1")
    paint.generation = records.create(cast.conservator, made, Generation, {"space": paint.space.pk})
    return paint


def removed(cast, project, record):
    """The line of history of a record that is removed."""
    records.remove(cast.coordinator, project, type(record), record.pk, record.version)
    return Change.objects.get(record_id=record.pk, action="removed")


def altered(line, **values):
    """As an archive or a hand in the database might have it."""
    Change.objects.filter(pk=line.pk).update(fields={**line.fields, **{name: [str(value), None] for name, value in values.items()}})


@pytest.fixture
def said(cast, project, paint):
    values = {"reference": "D1", "statement": "x", "bears_on": "space", "space": paint.space.pk}
    return records.create(cast.conservator, project, Evidence, values)


def test_what_refers_to_another_projects_record_is_not_brought_back(cast, project, paint, said, mill):
    line = removed(cast, project, said)
    altered(line, space=mill.space.pk)
    with pytest.raises(Conflict, match="the space that it belongs to is gone"):
        records.restore(cast.coordinator, project, line.act)
    assert not Evidence.objects.filter(pk=said.pk).exists()


def test_it_is_refused_in_the_words_for_what_there_never_was(cast, project, paint, said, mill):
    line, told = removed(cast, project, said), []
    for space in (mill.space.pk, uuid.uuid4()):
        altered(line, space=space)
        with pytest.raises(Conflict) as refused:
            records.restore(cast.coordinator, project, line.act)
        told.append(refused.value.detail)
    assert told[0] == told[1]


def test_what_refers_to_its_own_is_brought_back(cast, project, paint, said):
    line = removed(cast, project, said)
    (back,) = records.restore(cast.coordinator, project, line.act)
    assert (back.pk, back.space_id) == (said.pk, paint.space.pk)


def test_a_layer_comes_back_without_the_generation_of_another_project(cast, project, paint, mill):
    layer = paint.layers["101-1"][2]
    layer.refresh_from_db()
    line = removed(cast, project, layer)
    altered(line, generation=mill.generation.pk)
    records.restore(cast.coordinator, project, line.act)
    assert Layer.objects.get(pk=layer.pk).generation_id is None
