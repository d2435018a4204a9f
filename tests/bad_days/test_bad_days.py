"""Nothing is lost, nothing is done twice, and the person is told."""

import os
import signal
import subprocess
from pathlib import Path

import pytest

from tests.bad_days.conftest import SERVICES
from tests.servers import wait_until

pytestmark = pytest.mark.skipif(not Path("/proc/self").exists(), reason="finds processes by /proc")


def runs(row) -> bool:
    return row["state"] == "running" and row["done"] > 2


def process_of(row) -> int:
    return int(row["worker"].rpartition(":")[2])


def parent_of(process: int) -> int:
    return int(Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[1])


def test_a_job_whose_process_is_killed_is_done_again_once(program):
    (job,) = program.ask(("steps", {"steps": "30"}))
    os.kill(process_of(program.until(job, runs)), signal.SIGKILL)
    row = program.ended(job)
    assert (row["state"], row["attempt"], program.done(job)) == ("done", 2, [job])


def test_a_job_whose_whole_worker_is_killed_is_done_again_once(program):
    (job,) = program.ask(("steps", {"steps": "30"}))
    process = process_of(program.until(job, runs))
    os.kill(parent_of(process), signal.SIGKILL)
    os.kill(process, signal.SIGKILL)
    if SERVICES:  # embedded, the program starts it again itself
        program.program.stop(signal.SIGKILL, "long")
        program.program.start("long")
    row = program.ended(job)
    assert (row["state"], row["attempt"], program.done(job)) == ("done", 2, [job])


def test_a_job_cut_short_by_the_end_of_everything_is_done_after_the_next_start(program):
    (job,) = program.ask(("steps", {"steps": "30"}))
    program.until(job, runs)
    program.again(signal.SIGKILL)
    row = program.ended(job)
    assert (row["state"], program.done(job)) == ("done", [job])


def test_a_bell_that_rings_often_has_a_job_done_once(program):
    (job,) = program.ask(("steps", {"steps": "20"}))
    program.ring(job, 4)
    row = program.ended(job)
    (after,) = program.ask(("steps", {"steps": "1"}))
    assert program.ended(after)["state"] == "done"
    assert (row["state"], row["attempt"], program.done(job)) == ("done", 1, [job])


def test_poison_is_given_up_in_words_and_the_next_job_is_done(program):
    poison, after = program.ask(("poison", {}), ("steps", {"steps": "3"}))
    assert program.ended(after)["state"] == "done"
    row = program.ended(poison)
    assert (row["state"], row["attempt"]) == ("failed", 3)
    assert "ended its worker 3 times" in row["error"]


def test_a_job_that_never_ends_is_ended_in_words_even_one_that_forgives_every_exception(program):
    program.again(UNDERCOAT_JOB_SECONDS="3")
    for job in program.ask(("endless", {}), ("deaf", {})):
        row = program.ended(job)
        assert (row["state"], row["attempt"]) == ("failed", 1)
        assert "longer than any job may" in row["error"]


def test_a_step_that_says_nothing_for_many_leases_is_taken_from_nobody_whose_process_lives(program):
    program.again(BAD_DAYS_LEASE="2")
    (job,) = program.ask(("silent", {"steps": "250"}))
    row = program.ended(job)
    assert (row["state"], row["attempt"], program.done(job)) == ("done", 1, [job])


def test_a_running_job_that_is_cancelled_ends_within_twenty_steps_of_a_tenth_of_a_second(program):
    (job,) = program.ask(("steps", {"steps": "600"}))
    program.until(job, runs)
    assert program.http("POST", f"jobs/{job}/cancel")[0] == 200
    told = program.until(job, lambda row: row["cancel_asked"])
    row = program.ended(job)
    assert row["state"] == "cancelled"
    assert row["done"] - told["done"] <= 20
    assert program.done(job) == []


def test_a_job_is_seen_and_stopped_in_the_midst_of_its_act_and_nothing_of_that_is_kept(program):
    """Its act keeps the database (SQLite) or its row (PostgreSQL) from everybody else."""
    (job,) = program.ask(("act", {"steps": "600", "name": "stopped"}))
    seen = {}

    def moves() -> bool:
        seen.update(program.http("GET", f"jobs/{job}")[1]["progress"])
        return seen["done"] > 5 and seen["now"] == "Writing"

    wait_until(moves, "Nobody sees how far it is.")
    assert program.http("POST", f"jobs/{job}/cancel")[0] == 200
    row = program.ended(job)
    assert row["state"] == "cancelled"
    assert program.rows("SELECT id FROM surveys_space WHERE number = 'stopped'") == []


def test_a_job_whose_worker_dies_right_after_its_act_is_done_and_not_done_again(program):
    (job,) = program.ask(("act", {"steps": "3", "name": "dies"}))
    row = program.ended(job)
    assert (row["state"], row["attempt"]) == ("done", 1)
    (after,) = program.ask(("steps", {"steps": "3"}))
    assert program.ended(after)["state"] == "done"
    assert program.job(job)["attempt"] == 1
    assert len(program.rows("SELECT id FROM surveys_change WHERE record_type = 'space' AND record_name = 'dies'")) == 1


def test_what_somebody_waits_for_does_not_stand_behind_long_work(program):
    *long, quick = program.ask(*(("steps", {"steps": "300"}) for _ in range(4)), ("glance", {"steps": "2"}))
    assert program.ended(quick)["state"] == "done"
    assert {program.job(one)["state"] for one in long} <= {"queued", "running"}


@pytest.fixture
def small_disk(tmp_path_factory):
    """A disk of 64 KiB."""
    folder = tmp_path_factory.mktemp("disk")
    if subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", folder], capture_output=True, check=False).returncode:
        pytest.skip("a disk to be filled can be made by root only")
    yield folder
    subprocess.run(["umount", folder], check=True)


def test_a_full_disk_is_told_in_words_and_leaves_no_half_file(small_disk, program):
    program.again(UNDERCOAT_FILES=str(small_disk))
    (job,) = program.ask(("large", {}))
    row = program.ended(job)
    assert row["state"] == "failed"
    assert "disk is full" in row["error"]
    assert [path for path in small_disk.rglob("*") if path.is_file()] == []
