"""Names of records read for their names alone are those of the whole records, and cost one query a kind."""

import uuid

from django.db import connection
from django.test.utils import CaptureQueriesContext

from surveys import records
from surveys.models import Evidence, Generation, Phase
from surveys.records import questions
from surveys.selectors import abouts


def test_a_name_read_alone_is_that_of_the_whole_record_in_one_query_a_kind(cast, project, paint):
    made = [paint.space, paint.door, paint.first, *paint.layers["101-1"]]
    made += [
        records.create(cast.conservator, project, model, values)
        for model, values in (
            (Generation, {"space": paint.space.pk}),
            (Phase, {"label": "first"}),
            (Evidence, {"reference": "D1", "statement": "x", "bears_on": "space", "space": paint.space.pk}),
        )
    ]
    question = {"about_type": "space", "about_id": paint.space.pk, "to_discipline": "archaeology", "text": "x"}
    made.append(questions.ask(cast.conservator, project, question))
    wanted = [(one._meta.model_name, one.pk) for one in made]
    kinds = {kind for kind, _ in wanted}
    assert kinds >= set(abouts.NAMED_BY) - {"interpretation"}
    with CaptureQueriesContext(connection) as caught:
        told = abouts.names(project, wanted)
    assert len(caught) == len(kinds)
    assert told == {about: abouts.name_of(record) for about, record in abouts.records(project, wanted).items()}
    assert len(told) == len(made)


def test_what_is_gone_or_of_another_project_has_no_name(cast, project, paint):
    other = records.create_project(cast.owner, {"code": "OTHER", "name": "Other"})
    assert abouts.names(other, [("layer", paint.layers["101-1"][0].pk), ("space", uuid.uuid4())]) == {}
