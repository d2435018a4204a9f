import contextlib
import datetime as dt
import errno
import hashlib
import io

import pytest
from django.core.files.storage import default_storage
from django.db import IntegrityError, InterfaceError, OperationalError, connection, transaction
from django.utils import timezone

from analysis import tasks
from config.celery import app, unread
from surveys import jobs, meanwhile, records
from surveys.errors import Cancelled, Conflict, Forbidden, Invalid, NotFound
from surveys.jobs import doing
from surveys.models import Job, Upload
from surveys.work import archiving, table
from surveys.workbooks import exporting


@pytest.fixture
def job(cast, project, paint):
    return jobs.ask(cast.conservator, project, "correlate", {"space": "101"})


def test_a_job_is_asked_for_and_waits(job):
    assert (job.state, job.kind, job.params) == ("queued", "correlate", {"space": "101"})


def test_an_identical_job_that_waits_is_answered_instead_of_a_second(cast, project, job):
    assert jobs.ask(cast.historian, project, "correlate", {"space": "101"}).pk == job.pk


def test_an_identical_job_that_is_done_is_answered_until_its_input_changes(cast, project, paint, job):
    jobs.run(str(job.pk), "w", lambda job, progress: ({"ok": True}, []))
    assert jobs.ask(cast.conservator, project, "correlate", {"space": "101"}).pk == job.pk
    from surveys import records
    from surveys.models import Layer

    records.create(cast.conservator, project, Layer, {"sample": paint.first.pk, "kind": "varnish"})
    assert jobs.ask(cast.conservator, project, "correlate", {"space": "101"}).pk != job.pk


def test_owner_cannot_start_a_correlation(cast, project, paint):
    with pytest.raises(Forbidden):
        jobs.ask(cast.owner, project, "correlate", {})


def test_a_stranger_finds_no_project_to_ask_in(cast, project, paint):
    with pytest.raises(NotFound):
        jobs.ask(cast.stranger, project, "registers", {})


def test_an_unknown_kind_and_unknown_parameters_are_refused_in_words(cast, project, paint):
    with pytest.raises(Invalid, match="no kind of job 'paint'"):
        jobs.ask(cast.conservator, project, "paint", {})
    with pytest.raises(Invalid, match="takes no 'room'"):
        jobs.ask(cast.conservator, project, "correlate", {"room": "101"})
    with pytest.raises(NotFound, match="no space 999"):
        jobs.ask(cast.conservator, project, "correlate", {"space": "999"})


def test_only_one_worker_claims_a_job(job):
    assert jobs.claim(str(job.pk), "one") is not None
    assert jobs.claim(str(job.pk), "two") is None


def test_a_job_whose_worker_was_not_heard_of_for_a_lease_is_claimed_again(job):
    jobs.claim(str(job.pk), "one")
    Job.objects.filter(pk=job.pk).update(heartbeat=timezone.now() - jobs.LEASE - dt.timedelta(seconds=1))
    again = jobs.claim(str(job.pk), "two")
    assert again is not None
    assert (again.worker, again.attempt) == ("two", 2)


@pytest.mark.parametrize("off", [dt.timedelta(minutes=10), dt.timedelta(minutes=-10)])
def test_a_machine_whose_clock_is_ten_minutes_off_takes_no_job_from_one_that_lives_and_loses_none(job, monkeypatch, off):
    now = timezone.now
    with monkeypatch.context() as there:
        there.setattr(timezone, "now", lambda: now() + off)
        mine = jobs.claim(str(job.pk), "there")
        jobs.Progress(mine)(0, 3)
    with monkeypatch.context() as elsewhere:
        elsewhere.setattr(timezone, "now", lambda: now() - off)
        assert (jobs.claim(str(job.pk), "elsewhere"), jobs.sweep()) == (None, 0)
    assert (jobs.claim(str(job.pk), "here"), jobs.sweep()) == (None, 0)
    assert jobs.finish(mine, {}, []) is True


def test_a_clock_that_is_set_back_by_an_hour_keeps_no_job_from_being_stopped(cast, project, job, monkeypatch):
    now = timezone.now
    progress = jobs.Progress(jobs.claim(str(job.pk), "one"))
    progress(0, 3)
    jobs.cancel(cast.conservator, project, job.pk)
    monkeypatch.setattr(timezone, "now", lambda: now() - dt.timedelta(hours=1))
    monkeypatch.setattr(doing, "BEAT", 0)
    with pytest.raises(Cancelled):
        progress(1, 3)


def test_a_worker_that_lost_its_lease_cannot_finish(job):
    mine = jobs.claim(str(job.pk), "one")
    Job.objects.filter(pk=job.pk).update(worker="two", attempt=2)
    assert jobs.finish(mine, {}, []) is False
    with pytest.raises(jobs.LeaseLost):
        jobs.Progress(mine)(1, 1)


def test_a_job_that_ends_its_worker_three_times_is_given_up_in_words(job):
    Job.objects.filter(pk=job.pk).update(state="running", attempt=3, heartbeat=timezone.now() - dt.timedelta(hours=1))
    jobs.sweep()
    job.refresh_from_db()
    assert job.state == "failed"
    assert "3 times" in job.error


def test_a_running_job_that_is_cancelled_stops_at_its_next_step(cast, project, job):
    def work(job, progress):
        jobs.cancel(cast.conservator, project, job.pk)
        progress(1, 1)
        raise AssertionError("went on after it was stopped")

    jobs.run(str(job.pk), "w", work)
    job.refresh_from_db()
    assert job.state == "cancelled"


def test_another_person_cannot_cancel_but_a_coordinator_can(cast, project, job):
    with pytest.raises(Forbidden):
        jobs.cancel(cast.historian, project, job.pk)
    assert jobs.cancel(cast.coordinator, project, job.pk).state == "cancelled"


def test_a_refusal_is_told_in_its_own_words_and_a_crash_without_a_trace(job):
    def crash(job, progress):
        raise ZeroDivisionError("secret detail")

    jobs.run(str(job.pk), "w", crash)
    job.refresh_from_db()
    assert job.state == "failed"
    assert "secret" not in job.error
    assert str(job.pk) in job.error


def test_a_job_that_writes_is_told_to_stop_without_a_write(cast, project, job):
    mine = jobs.claim(str(job.pk), "w")
    jobs.wish_to_stop(cast.conservator, project, job.pk)
    assert Job.objects.get(pk=job.pk).cancel_asked is False
    with pytest.raises(Cancelled):
        jobs.Progress(mine)(1, 1)


def test_an_export_is_stopped_while_it_reads_what_progress_cannot_be_told_of(cast, project, paint, monkeypatch):
    job = jobs.ask(cast.conservator, project, "registers", {})
    read = exporting.rows_of

    def wished_meanwhile(project, register):
        meanwhile.wish(job.pk)
        assert register.title == "Spaces", "it went on reading"
        return read(project, register)

    monkeypatch.setattr(exporting, "rows_of", wished_meanwhile)
    jobs.run(str(job.pk), "one", table.do)
    job.refresh_from_db()
    assert (job.state, job.error) == ("cancelled", "Stopped, as you asked. Nothing was changed.")


def test_another_person_cannot_wish_a_job_to_stop(cast, project, job):
    mine = jobs.claim(str(job.pk), "w")
    with pytest.raises(Forbidden):
        jobs.wish_to_stop(cast.historian, project, job.pk)
    jobs.Progress(mine)(1, 1)
    assert Job.objects.get(pk=job.pk).done == 1


@pytest.mark.django_db(transaction=True)
def test_how_far_a_job_is_within_its_act_is_told_beside_its_row_and_afterwards_by_it(job):
    mine = jobs.claim(str(job.pk), "w")
    tell = jobs.Progress(mine)
    tell(1, 1, "Before")
    assert meanwhile.said(job.pk, mine.attempt) is None
    with transaction.atomic():
        tell(2, 2, "Within")
        assert meanwhile.said(job.pk, mine.attempt) == {"done": 2, "total": 2, "now": "Within"}
        assert meanwhile.said(job.pk, mine.attempt + 1) is None
    tell(3, 3, "After")
    assert meanwhile.said(job.pk, mine.attempt) is None
    assert Job.objects.get(pk=job.pk).now == "After"


def test_a_cache_that_does_not_answer_stops_no_job(job, settings):
    settings.CACHES = {"presence": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": "redis://127.0.0.1:1/0"}}
    mine = jobs.claim(str(job.pk), "w")
    jobs.Progress(mine)(1, 1)
    assert Job.objects.get(pk=job.pk).done == 1


@pytest.mark.django_db(transaction=True)
def test_an_act_whose_job_went_to_another_worker_is_undone(cast, project, paint, job):
    mine = jobs.claim(str(job.pk), "one")
    Job.objects.filter(pk=job.pk).update(worker="two", attempt=2)

    def act():
        with records.writing(cast.conservator, project) as pen:
            pen.change(paint.space, {"name": "Back room"})
            jobs.conclude(mine, {}, [])

    with pytest.raises(jobs.LeaseLost):
        act()
    paint.space.refresh_from_db()
    assert paint.space.name == "Front room"


def test_a_worker_that_dies_right_after_its_act_leaves_the_job_done(cast, project, job):
    def work(job, progress):
        with records.writing(cast.conservator, project):
            jobs.conclude(job, {"kept": 1}, [])
        raise SystemExit

    with pytest.raises(SystemExit):
        jobs.run(str(job.pk), "w", work)
    job.refresh_from_db()
    assert (job.state, job.result) == ("done", {"kept": 1})


@pytest.mark.parametrize("error", [OperationalError("the connection is closed"), InterfaceError("connection already closed")])
def test_a_job_that_lost_the_database_goes_back_to_the_queue_and_the_third_time_is_failed_in_words(job, error):
    def work(job, progress):
        raise error

    for state in ("queued", "queued", "failed"):
        jobs.run(str(job.pk), "w", work)
        job.refresh_from_db()
        assert job.state == state
    assert "The database did not answer" in job.error


@pytest.mark.parametrize("words", ["database or disk is full", "could not extend file: No space left on device"])
def test_a_database_whose_disk_is_full_is_told_at_once_in_words(job, words):
    def work(job, progress):
        raise OperationalError(words)

    jobs.run(str(job.pk), "w", work)
    job.refresh_from_db()
    assert job.state == "failed"
    assert "The disk is full" in job.error


def test_progress_of_a_stopped_job_raises(cast, project, job):
    mine = jobs.claim(str(job.pk), "w")
    Job.objects.filter(pk=job.pk).update(cancel_asked=True)
    with pytest.raises(Cancelled):
        jobs.Progress(mine)(1, 1)


def test_a_full_disk_is_told_in_words_and_any_other_fault_of_the_disk_is_not_taken_for_it(cast, project, paint):
    for number, words in ((errno.ENOSPC, "The disk is full"), (errno.EACCES, "Something went wrong in the program")):
        job = jobs.ask(cast.conservator, project, "correlate", {"space": "101"})

        def write(job, progress, number=number):
            raise OSError(number, "secret path")

        jobs.run(str(job.pk), "w", write)
        job.refresh_from_db()
        assert job.state == "failed"
        assert words in job.error
        assert "secret" not in job.error


def test_a_file_from_a_stream_is_kept_from_its_beginning_with_its_size_and_digest(job):
    stream = io.BytesIO(b"one and two")
    stream.read()
    kept = jobs.keep_stream(job, "a.txt", "text/plain", stream)
    assert (kept["size"], kept["sha256"]) == (11, hashlib.sha256(b"one and two").hexdigest())
    assert default_storage.open(kept["path"]).read() == b"one and two"


# -- at the same moment -----------------------------------------------------------------------------------------------------------


@contextlib.contextmanager
def after_the_first(start, deed):
    """Do something just after the first statement that begins so, as another process might."""
    met = []

    def wrapper(execute, sql, params, many, context):
        found = execute(sql, params, many, context)
        if not met and sql.startswith(start):
            met.append(sql)
            deed()
        return found

    with connection.execute_wrapper(wrapper):
        yield
    assert met


def test_a_job_that_another_asked_for_at_this_moment_and_that_came_to_nothing_is_asked_for_anew(cast, project, paint):
    met = []

    def as_if_it_was_there(execute, sql, params, many, context):
        if not met and sql.startswith('INSERT INTO "surveys_job"'):
            met.append(sql)
            raise IntegrityError("one_open_job_on_an_input")
        return execute(sql, params, many, context)

    with connection.execute_wrapper(as_if_it_was_there):
        assert jobs.ask(cast.conservator, project, "date", {}).state == "queued"
    assert met


def test_asking_for_what_others_ask_for_again_and_again_ends_in_words(cast, project, paint):
    def there(execute, sql, params, many, context):
        if sql.startswith('INSERT INTO "surveys_job"'):
            raise IntegrityError("one_open_job_on_an_input")
        return execute(sql, params, many, context)

    with connection.execute_wrapper(there), pytest.raises(Conflict, match="Try again"):
        jobs.ask(cast.conservator, project, "date", {})


def test_a_job_that_is_given_back_at_the_moment_of_its_cancelling_is_cancelled(cast, project, job):
    jobs.claim(str(job.pk), "one")
    given_back = lambda: Job.objects.filter(pk=job.pk).update(state="queued", worker="")  # noqa: E731
    with after_the_first('UPDATE "surveys_job"', given_back):
        assert jobs.cancel(cast.conservator, project, job.pk).state == "cancelled"
    assert jobs.claim(str(job.pk), "two") is None


def test_a_job_that_is_taken_at_the_moment_of_its_cancelling_stops_at_its_next_step(cast, project, job):
    taken = []
    with after_the_first('UPDATE "surveys_job"', lambda: taken.append(jobs.claim(str(job.pk), "one"))):
        jobs.cancel(cast.conservator, project, job.pk)
    with pytest.raises(Cancelled):
        jobs.Progress(taken[0])(1, 1)


# -- ringing again ----------------------------------------------------------------------------------------------------------------


@pytest.fixture
def rung(monkeypatch):
    """Whether quick, of each job that was rung for."""
    told = []
    monkeypatch.setattr("tests.dispatch.forget", lambda job_id, quick=False: told.append(quick))
    return told


def test_nobody_rings_again_for_a_queue_in_which_messages_still_lie(cast, project, paint, rung):
    long, quick = (jobs.ask(cast.conservator, project, kind, {}) for kind in ("correlate", "date"))
    Job.objects.update(created_at=timezone.now() - dt.timedelta(hours=1))
    rung.clear()
    assert jobs.sweep(lambda quick: 1) == 0
    assert jobs.sweep(lambda quick: 0 if quick else 3) == 1
    assert rung == [True]
    assert jobs.sweep(lambda quick: 0) == 2
    assert sorted(rung) == [False, True, True]
    assert {long.kind, quick.kind} == {"correlate", "date"}


@pytest.mark.django_db(transaction=True)
def test_a_job_that_waits_long_has_one_message_however_often_one_sweeps(cast, project, paint, settings):
    job = jobs.ask(cast.conservator, project, "correlate", {})
    Job.objects.update(created_at=timezone.now() - dt.timedelta(hours=1))
    settings.JOB_DISPATCHER = "analysis.tasks.ring"
    before = unread("long")
    for _ in range(5):
        tasks.sweep()
    try:
        assert unread("long") == max(before, 1), job
    finally:
        with app.connection_for_write() as broker, broker.channel() as channel:
            channel.queue_purge("long")


# -- what is left lying -----------------------------------------------------------------------------------------------------------


def lying(folder):
    """The files below a folder of the store."""
    try:
        folders, names = default_storage.listdir(folder)
    except FileNotFoundError:
        return []
    return [*(f"{folder}/{name}" for name in names), *(path for one in folders for path in lying(f"{folder}/{one}"))]


def cut_short(how):
    def work(job, progress):
        jobs.keep_file(job, "a.txt", "text/plain", b"half of it")
        return how(job)

    return work


def stop(job):
    raise Cancelled("Stopped.")


def crash(job):
    raise ZeroDivisionError


def lose(job):
    Job.objects.filter(pk=job.pk).update(worker="two")
    return {}, []


@pytest.mark.parametrize("how", [stop, crash, lose])
def test_a_job_that_came_to_nothing_leaves_no_files(job, how):
    jobs.run(str(job.pk), "one", cut_short(how))
    assert lying(f"outputs/{job.pk}") == []


def test_a_job_that_was_given_up_after_ending_its_worker_leaves_no_files_and_others_keep_theirs(cast, project, job):
    for attempt in (1, 2, 3):
        jobs.keep_file(jobs.claim(str(job.pk), "one"), "a.txt", "text/plain", b"half of it")
        Job.objects.filter(pk=job.pk).update(heartbeat=timezone.now() - dt.timedelta(hours=1), attempt=attempt)
    other = jobs.ask(cast.conservator, project, "date", {})
    jobs.keep_file(jobs.claim(str(other.pk), "two"), "b.txt", "text/plain", b"under way")
    jobs.sweep()
    assert (lying(f"outputs/{job.pk}"), len(lying(f"outputs/{other.pk}"))) == ([], 1)


def test_a_job_that_is_done_keeps_its_files_and_none_of_an_attempt_that_was_cut_short(job):
    first = jobs.claim(str(job.pk), "one")
    jobs.keep_file(first, "a.txt", "text/plain", b"half of it")
    Job.objects.filter(pk=job.pk).update(state="queued", worker="")
    jobs.run(str(job.pk), "two", lambda job, progress: ({}, [jobs.keep_file(job, "a.txt", "text/plain", b"whole")]))
    job.refresh_from_db()
    assert lying(f"outputs/{job.pk}") == [job.files[0]["path"]]


def test_a_job_that_ended_in_its_act_keeps_its_files(cast, project, job):
    def work(job, progress):
        files = [jobs.keep_file(job, "a.txt", "text/plain", b"whole")]
        with records.writing(cast.conservator, project):
            jobs.conclude(job, {}, files)
        return {}, files

    jobs.run(str(job.pk), "one", work)
    job.refresh_from_db()
    assert lying(f"outputs/{job.pk}") == [job.files[0]["path"]]


def test_a_file_whose_row_could_not_be_written_is_not_kept(cast, project, monkeypatch):
    def away(self, **how):
        raise OperationalError("the connection is closed")

    monkeypatch.setattr(Upload, "save", away)
    before = lying("uploads")
    with pytest.raises(OperationalError):
        jobs.upload(cast.conservator, project, "a.xlsx", b"x")
    assert lying("uploads") == before


def test_an_archive_is_put_together_where_the_settings_say(cast, project, settings, monkeypatch):
    settings.FILE_UPLOAD_TEMP_DIR = "/srv/room"
    asked = []
    monkeypatch.setattr("tempfile.TemporaryFile", lambda dir=None: asked.append(dir) or io.BytesIO())
    with archiving.archive(cast.coordinator, project, lambda *told: None):
        assert asked == ["/srv/room"]
