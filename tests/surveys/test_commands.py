"""The shell's commands on the same functions as the jobs: what they do, and what they leave alone."""

import json

import pytest
from django.core.management import CommandError, call_command

from surveys.models import Layer, Person, Project

GOOD = "Sample,Layer,Space,Element,Class,Kind,Munsell\nP1,1,1,1-BB,baseboard,primer,N 6\nP1,2,1,1-BB,baseboard,paint,5GY 6/4\n"
FAULTY = GOOD.replace("primer", "primmer")


@pytest.fixture
def file(tmp_path):
    def write(text):
        path = tmp_path / "layers.csv"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return write


def test_load_makes_the_project_if_asked_and_brings_the_layers(db, file):
    call_command("load", file(GOOD), project="HALL", create=True)
    assert Layer.objects.filter(project__code="HALL").count() == 2


def test_load_into_a_project_that_is_not_there_is_refused_unless_asked_to_make_it(db, file):
    with pytest.raises(CommandError, match="--create"):
        call_command("load", file(GOOD), project="HALL")


def test_a_dry_run_leaves_no_project_behind(db, file):
    call_command("load", file(GOOD), project="HALL", create=True, dry_run=True)
    assert (Project.objects.count(), Person.objects.count()) == (0, 0)


def test_a_refused_file_leaves_no_project_behind(db, file):
    with pytest.raises(CommandError, match="primmer"):
        call_command("load", file(FAULTY), project="HALL", create=True)
    assert (Project.objects.count(), Person.objects.count()) == (0, 0)


def test_correlate_and_chart_write_what_the_interface_answers(db, file, tmp_path):
    call_command("load", file(GOOD), project="HALL", create=True)
    call_command("correlate", project="HALL")
    out = tmp_path / "chart.json"
    call_command("chart", project="HALL", space="1", format="json", out=out)
    chart = json.loads(out.read_text(encoding="utf-8"))
    placed = [(cell["sample"], cell["position"], cell["generation"] is not None) for cell in chart["cells"]]
    assert placed == [("P1", 1, True), ("P1", 2, True)]
    with pytest.raises(CommandError, match="no space 9"):
        call_command("chart", project="HALL", space="9", format="json", out=out)


def test_registers_come_back_unchanged(db, file, tmp_path, capsys):
    call_command("load", file(GOOD), project="HALL", create=True)
    out = tmp_path / "hall.xlsx"
    call_command("registers", project="HALL", out=out)
    capsys.readouterr()
    call_command("load", str(out), project="HALL", json=True)
    report = json.loads(capsys.readouterr().out)
    assert {(sheet["created"], sheet["changed"]) for sheet in report["sheets"]} == {(0, 0)}
