"""A short race: a dozen clients, one restart. The full one is `python -m tests.race`."""

import os

from tests.race.racing import EMBEDDED, SERVER, race

ON = SERVER if os.environ.get("UNDERCOAT_TEST_SERVICES") else EMBEDDED


def test_no_edit_of_a_dozen_clients_is_lost_while_the_program_is_restarted():
    outcome = race(ON, clients=12, seconds=16, restarts=1)
    assert outcome.faults == []
    figures = outcome.figures
    assert figures["acknowledged"] > 20, figures
    assert {"single", "batch"} <= figures["by kind"].keys(), figures
    assert len(figures["restarts, s"]) == 1
