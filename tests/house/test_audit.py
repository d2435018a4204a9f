"""The audit of dependencies fails on a known vulnerability, and does not call checked what could not be asked.

The real tools ask services that are made here, on this machine, and speak the interfaces of OSV and of npm's registry.
"""

import json
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest

from tests import audit

HASH = "0" * 64
FIXED = {"type": "ECOSYSTEM", "events": [{"introduced": "0"}, {"fixed": "9"}]}


@pytest.fixture
def service(monkeypatch, tmp_path):
    """A service that knows of vulnerabilities in the packages that are put into `.bad`; what is said is said of any version."""

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self):
            asked = json.loads(self.rfile.read(int(self.headers["Content-Length"])) or b"{}") if self.path == "/osv" else {}
            name = asked.get("package", {}).get("name", "")
            told = {}
            if name in server.bad:
                package = {"name": name, "ecosystem": "PyPI"}
                told = {"vulns": [{"id": f"X-{name}", "affected": [{"package": package, "ranges": [FIXED]}]}]}
            elif self.path.endswith("advisories/bulk"):
                self.rfile.read(int(self.headers.get("Content-Length", 0)))
                rows = [{"id": 1, "url": "x", "title": "x", "severity": "high", "vulnerable_versions": "<9", "cwe": [], "cvss": {}}]
                told = dict.fromkeys(server.bad, rows)
            body = json.dumps(told).encode()
            self.send_response(200)
            self.send_header("Content-Type", "application/json")
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def do_GET(self):
            self.send_error(404)

        def log_message(self, *_):
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.bad = set()
    threading.Thread(target=server.serve_forever, daemon=True).start()
    here = f"http://127.0.0.1:{server.server_address[1]}"
    monkeypatch.setenv("UNDERCOAT_AUDIT_OSV", f"{here}/osv")
    monkeypatch.setenv("npm_config_registry", here)
    monkeypatch.setenv("npm_config_fetch_retries", "0")
    monkeypatch.setenv("npm_config_cache", str(tmp_path / "npm"))
    yield server
    server.shutdown()
    server.server_close()


@pytest.fixture
def lock(tmp_path):
    """A lock file of two packages."""
    file = tmp_path / "requirements.lock"
    file.write_text("".join(f"{name}==1.0 --hash=sha256:{HASH}\n" for name in ("sound", "rotten")))
    return file


def test_a_known_vulnerability_is_found(service, lock):
    service.bad |= {"django", "rotten"}
    assert audit.python(lock) == ["rotten 1.0: X-rotten"]


def test_nothing_is_found_where_nothing_is_known(service, lock):
    service.bad |= {"django"}
    assert audit.python(lock) == []


def test_a_service_that_knows_nothing_of_what_everybody_knows_was_not_asked(service, lock):
    service.bad |= {"rotten"}
    with pytest.raises(audit.CouldNotAsk, match="knows nothing of django"):
        audit.python(lock)


def test_a_service_that_is_not_there_was_not_asked(service, lock, monkeypatch):
    monkeypatch.setenv("UNDERCOAT_AUDIT_OSV", "http://127.0.0.1:9/osv")
    with pytest.raises(audit.CouldNotAsk):
        audit.python(lock)


def test_a_package_that_the_service_passes_over_was_not_asked_about(lock, monkeypatch):
    known = [{"name": "django", "version": "4.2.0", "vulns": [{"id": "X"}]}]
    passed_over = [{"name": "sound", "skip_reason": "not found"}]
    monkeypatch.setattr(audit, "asked", lambda file, *more: passed_over if file == lock else known)
    with pytest.raises(audit.CouldNotAsk, match="1 of 1 were passed over: sound"):
        audit.python(lock)


def module(folder):
    root = {"name": "x", "version": "1.0.0", "dependencies": {"rotten": "1.0.0"}}
    packages = {"": root, "node_modules/rotten": {"version": "1.0.0"}}
    (folder / "package.json").write_text(json.dumps(root))
    (folder / "package-lock.json").write_text(json.dumps({**root, "lockfileVersion": 3, "packages": packages}))
    return folder


def test_a_known_vulnerability_of_what_the_browser_gets_is_found(service, tmp_path):
    service.bad |= {"lodash", "rotten"}
    assert audit.browser(module(tmp_path)) == ["rotten: high"]


def test_a_registry_that_tells_of_no_advisories_was_not_asked(service, tmp_path):
    service.bad |= {"rotten"}
    with pytest.raises(audit.CouldNotAsk, match="knows nothing of lodash"):
        audit.browser(module(tmp_path))


@pytest.mark.parametrize(
    ("python", "browser", "code"),
    [([], [], 0), (["x"], [], 1), ([], None, audit.NOT_ASKED), (["x"], None, 1), (None, ["x"], 1), (None, None, audit.NOT_ASKED)],
)
def test_what_was_found_outweighs_what_could_not_be_asked_and_that_what_is_sound(monkeypatch, capsys, python, browser, code):
    def told(found):
        if found is None:
            raise audit.CouldNotAsk("away.")
        return found

    monkeypatch.setattr(audit, "python", lambda: told(python))
    monkeypatch.setattr(audit, "browser", lambda: told(browser))
    assert audit.main() == code
    said = capsys.readouterr().out
    assert said.count("could not be asked, so nothing is known of them") == (python is None) + (browser is None)
    assert said.count("no vulnerability is known") == (python == []) + (browser == [])
