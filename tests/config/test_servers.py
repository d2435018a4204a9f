"""The servers that tests start where none is installed."""

import shutil

from tests import servers


def test_redis_comes_from_a_wheel_where_it_is_not_installed_and_is_ended_and_started_again(tmp_path, monkeypatch):
    monkeypatch.setattr(shutil, "which", lambda name: None)
    server = servers.Redis(tmp_path)
    with servers.running(server):
        assert servers._answers(server.url())
        server.stop()
        assert not servers._answers(server.url())
        server.start()
        assert servers._answers(server.url())
    assert not servers._answers(server.url())


def test_a_free_port_is_below_those_that_go_out():
    assert all(20_000 <= servers.free_port() < 32_000 for _ in range(20))
