"""Sections drawn for the demonstration show the films of the record in their order and thickness, and say that they are drawn."""

from types import SimpleNamespace

import numpy
import pytest

from surveys.models import Attachment, Microscope
from surveys.work import drawn_sections
from surveys.work.drawn_sections import RESIN, RIGHT, SUBSTRATE, UM_PER_PIXEL, UP, USUAL, WIDTH


def film(munsell="", kind="paint", thickness=None, uv="", strength=""):
    return SimpleNamespace(munsell=munsell, kind=kind, thickness_um=thickness, uv_colour=uv, uv_strength=strength)


# Black, white, black: their edges are found by lightness alone.
STACK = (
    film("N 1", thickness=100, uv="lemon", strength="strong"),
    film("N 9.5", thickness=60),
    film("N 1", uv="dark violet", strength="weak"),
)


def test_films_lie_in_their_order_as_thick_as_they_were_recorded():
    visible, _ = drawn_sections.draw(STACK, seed=1)
    height = int((SUBSTRATE + 100 + 60 + USUAL + RESIN) / UM_PER_PIXEL)
    assert (visible.shape, visible.dtype) == ((height, WIDTH, 3), numpy.uint8)
    for column in range(20, WIDTH, 97):
        upwards = visible[::-1, column].mean(axis=-1)
        white = upwards > 180
        # From the first white film to where the black on it begins; what is white above that is the resin.
        start = int(numpy.argmax(white))
        end = start + int(numpy.argmin(white[start:]))
        assert (end - start) * UM_PER_PIXEL == pytest.approx(60, abs=6)
        assert start * UM_PER_PIXEL == pytest.approx(SUBSTRATE + 100, abs=16)


def test_the_glow_is_that_of_the_words_and_lies_a_little_beside():
    visible, uv = drawn_sections.draw(STACK, seed=1)
    for column in range(20, WIDTH - RIGHT, 97):
        first_film_ends = int(numpy.argmax(visible[::-1, column].mean(axis=-1) > 180))
        upwards = uv[::-1, column + RIGHT].astype(int)
        lemon = numpy.flatnonzero((upwards[:, 1] > 150) & (upwards[:, 2] < 140))
        assert lemon[-1] + 1 == pytest.approx(first_film_ends + UP, abs=2)


def test_the_same_record_is_drawn_the_same():
    assert (drawn_sections.draw(STACK, 3)[0] == drawn_sections.draw(STACK, 3)[0]).all()


def test_what_was_drawn_is_attached_ready_and_says_so(cast, project, paint):
    made = drawn_sections.attach(cast.conservator, project, ["101-1"])
    found = list(Attachment.objects.filter(project=project).order_by("number"))
    assert [one.pk for one in made] == [one.pk for one in found]
    assert [(one.kind, one.prepared, one.about_id) for one in found] == [
        ("visible micrograph", "ready", paint.first.pk),
        ("UV micrograph", "ready", paint.first.pk),
    ]
    assert {one.caption for one in found} == {"Drawn from the record of 101-1, not photographed."}
    assert {(one.um_per_pixel, one.scale_by, one.microscope) for one in found} == {(UM_PER_PIXEL, "microscope", Microscope.objects.get())}
    assert all("drawn" in one.upload.name for one in found)
