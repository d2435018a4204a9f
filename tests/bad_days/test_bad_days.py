"""Nothing is lost, nothing is done twice, and the person is told."""

import os
import signal
import subprocess
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(not Path("/proc/self").exists(), reason="finds processes by /proc")


def runs(row) -> bool:
    return row["state"] == "running" and row["done"] > 2


def process_of(row) -> int:
    return int(row["worker"].rpartition(":")[2])


def parent_of(process: int) -> int:
    return int(Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[1])


def test_a_job_whose_process_is_killed_is_done_again_once(program):
    program.start()
    (job,) = program.ask(("steps", {"steps": "30"}, 0))
    os.kill(process_of(program.until(job, runs)), signal.SIGKILL)
    row = program.ended(job)
    assert (row["state"], row["attempt"], program.done()) == ("done", 2, [job])


def test_a_job_whose_whole_worker_is_killed_is_done_again_once(program):
    program.start()
    (job,) = program.ask(("steps", {"steps": "30"}, 0))
    process = process_of(program.until(job, runs))
    os.kill(parent_of(process), signal.SIGKILL)
    os.kill(process, signal.SIGKILL)
    row = program.ended(job)
    assert (row["state"], row["attempt"], program.done()) == ("done", 2, [job])


def test_a_job_cut_short_by_the_end_of_everything_is_done_after_the_next_start(program):
    program.start()
    (job,) = program.ask(("steps", {"steps": "30"}, 0))
    program.until(job, runs)
    program.stop(signal.SIGKILL)
    program.start()
    row = program.ended(job)
    assert (row["state"], program.done()) == ("done", [job])


def test_a_bell_that_rings_often_has_a_job_done_once(program):
    program.start()
    (job,) = program.ask(("steps", {"steps": "5"}, 4))
    (after,) = program.ask(("steps", {"steps": "1"}, 0))
    assert program.ended(after)["state"] == "done"
    row = program.ended(job)
    assert (row["state"], row["attempt"], program.done().count(job)) == ("done", 1, 1)


def test_poison_is_given_up_in_words_and_the_next_job_is_done(program):
    program.start()
    poison, after = program.ask(("poison", {}, 0), ("steps", {"steps": "3"}, 0))
    assert program.ended(after)["state"] == "done"
    row = program.ended(poison)
    assert (row["state"], row["attempt"]) == ("failed", 3)
    assert "ended its worker 3 times" in row["error"]


def test_a_job_that_never_ends_is_ended_in_words(program):
    program.more["UNDERCOAT_JOB_SECONDS"] = "3"
    program.start()
    (job,) = program.ask(("endless", {}, 0))
    row = program.ended(job)
    assert row["state"] == "failed"
    assert "longer than any job may" in row["error"]


def test_a_running_job_that_is_cancelled_ends_within_twenty_steps_of_a_tenth_of_a_second(program):
    program.start()
    (job,) = program.ask(("steps", {"steps": "600"}, 0))
    program.until(job, runs)
    program.cancel(job)
    told = program.until(job, lambda row: row["cancel_asked"])
    row = program.ended(job)
    assert row["state"] == "cancelled"
    assert row["done"] - told["done"] <= 20
    assert program.done() == []


def test_what_somebody_waits_for_does_not_stand_behind_long_work(program):
    program.start()
    *long, quick = program.ask(*(("steps", {"steps": "300", "name": f"{n}"}, 0) for n in range(4)), ("glance", {"steps": "2"}, 0))
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


def test_a_full_disk_is_told_in_words_and_leaves_no_half_file(program, small_disk):
    program.more["UNDERCOAT_FILES"] = str(small_disk)
    program.start()
    (job,) = program.ask(("large", {}, 0))
    row = program.ended(job)
    assert row["state"] == "failed"
    assert "disk is full" in row["error"]
    assert [path for path in small_disk.rglob("*") if path.is_file()] == []
