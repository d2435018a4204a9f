"""Materials and cautions: the table keeps its promises about sources, and what people write is read as they meant it."""

from pathlib import Path

import pytest

from analysis.core.cautions import NO_INSPECTION, UV, cautions
from analysis.core.materials import COLUMNS, HAZARDS, Found, Material, MaterialError, hazards_of, load_materials, match_material, parse_list

TABLE = Path(__file__).parents[2] / "fixtures" / "reference" / "pigments.csv"


@pytest.fixture(scope="module")
def materials() -> tuple[Material, ...]:
    return load_materials(TABLE)


def _dated(name: str, materials: tuple[Material, ...]) -> int | None:
    found = match_material(name, materials)
    assert found is not None, name
    return found.earliest_year


# --- the table ----------------------------------------------------------------------------------------------------------------


def test_at_least_ten_dated_materials_have_two_published_sources(materials: tuple[Material, ...]) -> None:
    twice = [one.name for one in materials if one.earliest_year is not None and len(set(one.published_sources)) == 2]
    assert len(twice) >= 10, twice


def test_a_material_called_published_has_a_published_source_and_the_rest_say_from_memory(materials: tuple[Material, ...]) -> None:
    for one in materials:
        assert (one.verified == "published") <= bool(one.published_sources), one.name
        assert one.verified == "published" or "from memory" in one.source + one.second_source, one.name


def test_a_date_from_memory_is_shown_as_one(materials: tuple[Material, ...]) -> None:
    chrome, rutile = match_material("chrome yellow", materials), match_material("rutile", materials)
    assert chrome is not None
    assert rutile is not None
    assert "Gettens & G. L. Stout" in chrome.citation
    assert rutile.citation == "date from memory"


# Literals from the works named, not from the table: R. J. Gettens & G. L. Stout, Painting Materials (1942; Dover 1966), pp. 107, 142,
# 161, 177; WebExhibits, Pigments through the Ages; CAMEO (Museum of Fine Arts Boston); A. Kraft, History of Prussian blue (2019).
@pytest.mark.parametrize(
    ("name", "no_later_than"),
    [
        ("zinc white", 1782),  # Gettens & Stout p. 177: Courtois of Dijon
        ("lithopone", 1874),  # p. 142: the 1870s
        ("titanium white", 1916),  # WebExhibits: commercial 1916
        ("Prussian blue", 1706),  # Kraft: invented 1706
        ("synthetic ultramarine", 1824),  # p. 142: Guimet
        ("chrome yellow", 1809),  # p. 142: Vauquelin's memoir
        ("emerald green", 1814),  # WebExhibits: Sattler, Schweinfurt
        ("viridian", 1838),  # p. 142
        ("chromium oxide green", 1809),  # p. 107: Vauquelin
        ("cadmium yellow", 1817),  # p. 142: Stromeyer
        ("cadmium red", 1910),  # p. 142: about 1910
        ("phthalocyanine blue", 1935),  # CAMEO: marketed 1935
        ("patent yellow", 1781),  # CAMEO: Turner's patent
    ],
)
def test_the_hard_year_is_never_later_than_a_published_one(name: str, no_later_than: int, materials: tuple[Material, ...]) -> None:
    year = _dated(name, materials)
    assert year is not None
    assert year <= no_later_than


@pytest.mark.parametrize("name", ["lead white", "chalk", "verdigris", "burnt umber", "vermilion", "bone black", "limewash"])
def test_materials_of_antiquity_bound_nothing(name: str, materials: tuple[Material, ...]) -> None:
    assert _dated(name, materials) is None


def test_binders_are_in_the_table_too(materials: tuple[Material, ...]) -> None:
    # Science History Institute, Distillations (2009): first acrylic emulsion binder 1953.
    assert _dated("acrylic emulsion", materials) == 1953
    for binder in ("alkyd", "PVA emulsion", "styrene-butadiene", "nitrocellulose", "casein"):
        assert match_material(binder, materials) is not None


HEADING = ",".join(COLUMNS)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("name,year\nzinc white,1780", "needs these columns"),
        (f"{HEADING}\nzinc white,,17x0,,,A,,published,,,", "no year"),
        (f"{HEADING}\nzinc white,,1780,,,,,published,,,", "a name and a source"),
        (f"{HEADING}\nzinc white,,1780,,,A,,hearsay,,,", "from memory"),
        (f"{HEADING}\nzinc white,,1780,,,A,,published,,,radium", "unknown hazard"),
        (f"{HEADING}\nzinc white,,1845,1780,,A,,published,,,", "backwards"),
        (f"{HEADING}\nzinc white,,1780,,,A,,published,,,\nchinese white,Zinc-White,1780,,,A,,published,,,", "answer to"),
    ],
)
def test_a_table_that_cannot_be_trusted_is_refused(rows: str, words: str) -> None:
    with pytest.raises(MaterialError, match=words):
        load_materials(rows)


# --- what people write --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", ()),
        ("zinc white (identified: SEM-EDS)", (Found("zinc white", "identified", "SEM-EDS"),)),
        ("zinc white (identified by Raman)", (Found("zinc white", "identified", "Raman"),)),
        ("zinc white (seen)", (Found("zinc white", "seen", ""),)),
        ("zinc white", (Found("zinc white", "seen", ""),)),
        ("zinc white?", (Found("zinc white", "seen", ""),)),
        ("zinc white (identified: SEM-EDS?)", (Found("zinc white", "seen", ""),)),
        ("zinc white (identified: UV)", (Found("zinc white", "seen", ""),)),
        ("zinc white (identified: UV, SEM-EDS)", (Found("zinc white", "identified", "UV, SEM-EDS"),)),
        ("titanium white (rutile)", (Found("titanium white (rutile)", "seen", ""),)),
        ("titanium white (rutile) (identified: XRD)", (Found("titanium white (rutile)", "identified", "XRD"),)),
        ("chalk; ochre (seen), Prussian blue (identified: PLM, FTIR) and smalt", (
            Found("chalk", "seen", ""), Found("ochre", "seen", ""), Found("Prussian blue", "identified", "PLM, FTIR"),
            Found("smalt", "seen", ""),
        )),
    ],
)  # fmt: skip
def test_a_cell_is_read_as_written(text: str, found: tuple[Found, ...]) -> None:
    assert parse_list(text) == found


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Zinc White (identified: SEM-EDS)", "zinc white"),
        ("Chinese  white", "zinc white"),
        ("Scheele’s green", "scheele's green"),
        ("lead tin yellow", "lead-tin yellow"),
        ("Titanium white (rutile) (seen)", "titanium white (rutile)"),
        ("French ultramarine", "synthetic ultramarine"),
        ("Umber", "natural earth"),
    ],
)
def test_other_names_lead_to_the_row(text: str, name: str, materials: tuple[Material, ...]) -> None:
    found = match_material(text, materials)
    assert found is not None
    assert found.name == name


@pytest.mark.parametrize("text", ["ultramarine", "white", "zinc", "chrome", "", "zinc white; chalk"])
def test_what_does_not_name_just_one_material_is_not_guessed(text: str, materials: tuple[Material, ...]) -> None:
    assert match_material(text, materials) is None


def test_hazards_count_what_is_seen_as_well_as_what_is_identified(materials: tuple[Material, ...]) -> None:
    assert hazards_of(["lead white; chalk", "emerald green (seen)", "", "pink stuff"], materials) == ("lead", "arsenic")
    assert hazards_of(["chrome yellow", "vermilion", "cadmium red"], materials) == ("lead", "mercury", "chromium", "cadmium")
    assert hazards_of(["zinc white", "ochre"], materials) == ()


# --- cautions -----------------------------------------------------------------------------------------------------------------


def test_lead_is_cautioned_with_the_names_numbers_and_years_of_the_regulations() -> None:
    said = " ".join(cautions(["lead"], untested_old_paint=False))
    for words in (
        "Toxic Substances Control Act §401", "40 CFR 745.103", "1.0 mg/cm²", "0.5 %", "29 CFR 1926.62",
        "Control of Lead at Work Regulations 2002", "Directive (EU) 2024/869", "as of 2024", "local codes and licensed practice",
    ):  # fmt: skip
        assert words in said


def test_untested_old_paint_is_cautioned_though_no_hazard_is_named() -> None:
    said = cautions([], untested_old_paint=True)
    assert any("until it has been tested" in sentence and "40 CFR 745.103" in sentence for sentence in said)
    assert said[-1] == NO_INSPECTION


@pytest.mark.parametrize("hazard", HAZARDS)
def test_every_hazard_has_a_caution_with_a_regulation_and_defers(hazard: str) -> None:
    said = cautions([hazard], untested_old_paint=False)
    assert hazard in said[0].lower()
    assert "CFR" in said[0]
    assert "as of" in said[0] or "from memory" in said[0]
    assert said[-1] == NO_INSPECTION


def test_uv_suggests_and_a_printed_colour_is_never_a_match() -> None:
    said = cautions([], untested_old_paint=False, shows_uv=True, shows_colour=True)
    assert said[0] == UV
    assert "suggests materials; it proves none" in UV
    assert "ICNIRP" in UV
    assert "never a paint match" in said[1]


def test_a_sheet_that_shows_nothing_of_this_carries_no_caution() -> None:
    assert cautions([], untested_old_paint=False) == ()


def test_an_unknown_hazard_is_refused() -> None:
    with pytest.raises(ValueError, match="Unknown hazard 'radium'"):
        cautions(["radium"], untested_old_paint=False)
