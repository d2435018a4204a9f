"""The owner's answer sheets: a page a room, in plain words, as sure as the record is and no surer."""

import io

import pypdf
import pytest

from analysis.papers.answers import Look, Part, Room, answers, keep
from analysis.papers.pdf import paper_pdf
from surveys import jobs, records
from surveys.errors import Invalid, NotFound
from surveys.models import Element, Interpretation, Phase
from surveys.work import table


@pytest.fixture
def hall(cast, project, dated):
    """Two elements with paint of 1800 and 1900, and a cornice that nobody sampled."""
    values = {"code": "101-CO", "space": dated.space.pk, "element_class": "cornice"}
    records.create(cast.conservator, project, Element, values)
    return dated


def text_of(project, actor, **params) -> list[str]:
    from django.core.files.storage import default_storage

    job = jobs.ask(actor, project, "answers", params)
    jobs.run(str(job.pk), "w", table.do)
    job.refresh_from_db()
    assert (job.state, job.error) == ("done", "")
    pages = pypdf.PdfReader(io.BytesIO(default_storage.open(job.files[0]["path"]).read())).pages
    return [" ".join(page.extract_text().split()) for page in pages]


def test_a_room_has_one_page_that_says_what_it_was_and_what_nobody_knows(cast, project, hall):
    pages = text_of(project, cast.owner, year=1950)
    assert len(pages) == 2, "one for the room, one for the cautions"
    assert "Front room (101)" in pages[0]
    assert "green paint; one sample" in pages[0]
    assert "cream paint; we are sure; one sample" in pages[0]
    assert "Nobody knows what these were: cornice." in pages[0]
    assert "2 paintings one over the other, from the bare surface to the newest" in pages[0]
    assert "40 CFR 745.103" in pages[1]


def test_words_of_the_trade_are_left_out(cast, project, hall):
    text = " ".join(text_of(project, cast.owner, year=1950)[:1]).lower()
    for word in ("generation", "stratigraph", "campaign", "munsell", "substrate", "correlat"):
        assert word not in text


def test_what_the_team_agrees_on_and_what_it_disputes_stand_apart(cast, project, hall):
    told = {
        "discipline": "paint conservation",
        "subject": "space",
        "space": hall.space.pk,
        "citations": [{"type": "sample", "id": str(hall.first.pk)}],
    }
    for statement, state in (("The room was green from the start.", "agreed"), ("The door came later.", "disputed")):
        said = records.create(cast.conservator, project, Interpretation, {**told, "statement": statement})
        said = records.transition(cast.conservator, project, said.pk, said.version, "for comment", "")
        records.transition(cast.owner, project, said.pk, said.version, state, "So says the bill.")
    page = text_of(project, cast.owner, year=1950)[0]
    agreed = page.index("What the team agrees on")
    assert agreed < page.index("The room was green from the start.") < page.index("What we do not know")
    assert "The team does not agree: The door came later." in page


def test_a_phase_is_asked_for_by_its_number(cast, project, hall):
    records.create(cast.conservator, project, Phase, {"label": "the first owner", "latest": 1850})
    assert "at the end of the first owner" in text_of(project, cast.owner, phase=1)[0]


def test_without_a_time_or_with_a_phase_that_is_not_there_it_is_refused_in_words(cast, project, hall):
    for params, words in (({}, "for which year"), ({"phase": 7}, "no phase 7")):
        job = jobs.ask(cast.owner, project, "answers", params)
        jobs.run(str(job.pk), "w", table.do)
        job.refresh_from_db()
        assert job.state == "failed"
        assert words in job.error
    with pytest.raises(Invalid, match="no year"):
        jobs.ask(cast.owner, project, "answers", {"year": "1840"})
    with pytest.raises(NotFound):
        jobs.ask(cast.contractor, project, "answers", {"year": 1840})


def test_the_part_to_leave_alone_is_the_one_that_keeps_most_and_of_equals_the_whole_one():
    parts = [Part("wall", "a", Look(), Look(), 3), Part("door", "b", Look(), Look(), 3, True), Part("dado", "c", Look(), Look(), 2, True)]
    assert keep(parts).startswith("The door (b) keeps the most: 3 paintings")
    assert keep([]).startswith("No part of this room")
    assert keep([Part("wall", "a", Look(), Look(), 1)]).startswith("No part of this room")


def test_a_room_with_many_parts_says_how_many_stand_below_the_picture_and_one_without_says_that_nothing_is_known():
    parts = tuple(Part(f"part {n}", f"{n}", Look("green paint", "#557755", "", 1), Look()) for n in range(20))
    paper = answers("The hall", [Room("1", "", parts), Room("2", "Attic", ())], "in 1840", ["Careful."], dated="2026-11-25")
    text = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(paper_pdf(paper))).pages).split())
    assert "and 6 more parts, told below" in text
    assert "Nothing is known of this room's paint yet" in text


def test_a_room_of_thirteen_parts_has_one_page():
    """As long words as those of a real room: eight of the parts take two lines of the table."""
    then = Look("mahogany brown paint, grained and varnished", "#aa9977", "perhaps", 1), Look("stone paint", "#aa9977", "likely", 1)
    parts = tuple(Part(f"shutter, window {n}", f"{n}", Look(), then[n >= 8], 17, True) for n in range(13))
    room = Room("1", "Exchange Room", (*parts, Part("radiator", "r", Look(), Look())))
    paper = answers("The hall", [Room("0", "", ()), room], "in 1840", ["Careful."], dated="2026-11-25")
    # A page of a room of which nothing is known, one of this room, one of cautions.
    assert len(pypdf.PdfReader(io.BytesIO(paper_pdf(paper))).pages) == 3


def test_the_same_sheets_give_the_same_bytes():
    paper = answers(
        "The hall", [Room("1", "", (Part("wall", "w", Look("green paint", "#557755"), Look()),))], "in 1840", [], dated="2026-11-25"
    )
    assert paper_pdf(paper) == paper_pdf(paper)
