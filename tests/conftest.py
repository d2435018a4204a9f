"""What all tests share: fast passwords, one cast of people, and a project with a little paint in it."""

import pytest

from surveys import records
from surveys.models import Element, Layer, Membership, Person, Project, Sample, Space


@pytest.fixture(autouse=True)
def _fast_passwords(settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True)
def _static_files_are_looked_for_when_asked_for(settings):
    """Every client of a test makes the middleware anew, which would go through all static files each time."""
    settings.WHITENOISE_AUTOREFRESH = True


@pytest.fixture(autouse=True)
def _no_limit_on_reads(settings):
    """Tests of one process ask as the same few people without a pause; `test_reads` sets limits of its own."""
    settings.READS_A_MINUTE = settings.HEAVY_READS_A_MINUTE = 0


def person(username: str, name: str) -> Person:
    return Person.objects.create_user(username=username, password="not-a-real-secret", name=name)


class Cast:
    """Who appears in every test: the coordinator, a conservator, a historian, an owner, a contractor, and a stranger."""

    def __init__(self) -> None:
        self.coordinator = person("coordinator", "Cora Ordway")
        self.conservator = person("conservator", "Connie Vator")
        self.historian = person("historian", "Hester Orian")
        self.owner = person("owner", "Owen Nerr")
        self.contractor = person("contractor", "Conrad Tractor")
        self.stranger = person("stranger", "Stan Ranger")
        self.project: Project = records.create_project(
            self.coordinator, {"code": "HALL", "name": "The hall", "first_year": 1790, "last_year": 2020}
        )
        for who, role, discipline in (
            ("conservator", "consultant", "paint conservation"),
            ("historian", "consultant", "architectural history"),
            ("owner", "owner", "ownership"),
            ("contractor", "contractor", "contracting"),
        ):
            records.add_member(self.coordinator, self.project, who, role, discipline)

    def __getitem__(self, who: str) -> Person | None:
        return None if who == "nobody" else getattr(self, who)


PEOPLE = ("coordinator", "conservator", "historian", "owner", "contractor", "stranger", "nobody")


@pytest.fixture
def cast(db) -> Cast:
    return Cast()


@pytest.fixture
def project(cast) -> Project:
    return cast.project


class Paint:
    """A space with two elements, a sample on each, and three layers in each sample."""

    def __init__(self, cast: Cast, project: Project, number: str = "101") -> None:
        make = lambda model, **values: records.create(cast.conservator, project, model, values)  # noqa: E731
        self.space = make(Space, number=number, name="Front room", kind="room")
        self.baseboard = make(Element, code=f"{number}-BB", space=self.space.pk, element_class="baseboard", substrate="wood")
        self.door = make(Element, code=f"{number}-DL", space=self.space.pk, element_class="door leaf", substrate="wood")
        self.first = make(Sample, number=f"{number}-1", element=self.baseboard.pk, base_state="complete", top_state="complete")
        self.second = make(Sample, number=f"{number}-2", element=self.door.pk, base_state="complete", top_state="complete")
        self.layers = {sample.number: self.three_layers(cast, sample) for sample in (self.first, self.second)}

    @staticmethod
    def three_layers(cast: Cast, sample: Sample) -> list[Layer]:
        """Grey primer, green and cream paint, in one act."""
        told = [("primer", "grey", "N 6"), ("paint", "green", "5GY 6/4"), ("paint", "cream", "10YR 8/2")]
        made = [
            {"sample": sample.pk, "position": position, "kind": kind, "colour": colour, "munsell": munsell}
            for position, (kind, colour, munsell) in enumerate(told, start=1)
        ]
        done = records.batch(cast.conservator, sample.project, Layer, [records.Operation("create", values) for values in made])
        return [one.record for one in done]


@pytest.fixture
def paint(cast, project) -> Paint:
    return Paint(cast, project)


__all__ = ["PEOPLE", "Membership", "Paint"]
