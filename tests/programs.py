"""The program as people run it, to be unkind to: started, asked, killed, started again; embedded, or on a server as README says."""

import contextlib
import os
import signal
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path

from tests.servers import free_port, wait_until

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent
# Of the tests' own surroundings, which the program must not inherit.
OURS = ("DATABASE_URL", "UNDERCOAT_BROKER", "UNDERCOAT_CACHE", "UNDERCOAT_DISPATCHER", "UNDERCOAT_MODE")
GRACE = 20.0


class Program:
    """The program on a data folder; all its processes end with their group."""

    def __init__(self, data: Path, settings: str = "config.settings") -> None:
        self.data, self.settings, self.port = data, settings, free_port()
        self.more: dict[str, str] = {}
        self.processes: dict[str, subprocess.Popen[bytes]] = {}

    def commands(self) -> dict[str, list[str]]:
        """What it consists of, by name."""
        serve = [sys.executable, str(ROOT / "manage.py"), "serve", "--port", str(self.port), "--no-demo"]
        return {"web": serve}

    def environment(self) -> dict[str, str]:
        """Its surroundings."""
        given = {name: value for name, value in os.environ.items() if name not in OURS}
        return {
            **given, "UNDERCOAT_DATA": str(self.data), "DJANGO_SETTINGS_MODULE": self.settings, "PYTHONUNBUFFERED": "1", **self.more,
        }  # fmt: skip

    def manage(self, *arguments: str) -> str:
        """Run one of its commands; answer what that printed."""
        command = [sys.executable, str(ROOT / "manage.py"), *arguments]
        done = subprocess.run(command, cwd=ROOT, env=self.environment(), capture_output=True, text=True, check=False, timeout=120)
        assert done.returncode == 0, done.stderr
        return done.stdout

    def shell(self, code: str) -> str:
        """Run a few lines in it."""
        return self.manage("shell", "-v0", "-c", code)

    def start(self, *names: str) -> None:
        """Start it, or some of its parts, each in a group of its own."""
        for name, command in self.commands().items():
            if names and name not in names:
                continue
            with (self.data / f"{name}.log").open("ab") as log:
                self.processes[name] = subprocess.Popen(
                    command, cwd=ROOT, env=self.environment(), stdin=subprocess.DEVNULL, stdout=log, stderr=log, start_new_session=True
                )

    def answers(self) -> bool:
        """Whether its pages and interface answer."""
        with contextlib.suppress(OSError, urllib.error.URLError):
            urllib.request.urlopen(f"http://127.0.0.1:{self.port}/live", timeout=5).close()
            return True
        return False

    def wait(self) -> None:
        """Until it answers."""
        wait_until(self.answers, f"The program did not start.\n{self.log()}", 90)

    def stop(self, number: int = signal.SIGTERM, *names: str) -> None:
        """End it, or some of its parts, gently or not; what does not end gently in a while is killed with all its children."""
        going = [name for name in self.processes if not names or name in names]
        for name in going:
            with contextlib.suppress(ProcessLookupError):
                if number == signal.SIGKILL:
                    os.killpg(self.processes[name].pid, number)
                else:
                    self.processes[name].send_signal(number)
        for name in going:
            process = self.processes.pop(name)
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(GRACE)
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            process.wait()

    def log(self) -> str:
        """The end of what it wrote."""
        return "\n".join(f"{path.name}:\n{path.read_text(errors='replace')[-3000:]}" for path in sorted(self.data.glob("*.log")))


class Served(Program):
    """The same on a server: gunicorn, a Celery worker for each queue, beat."""

    def __init__(self, data: Path, database: str, broker: str, settings: str = "config.settings") -> None:
        super().__init__(data, settings)
        self.more = {
            "UNDERCOAT_MODE": "server",
            "UNDERCOAT_SECRET_KEY": "not-a-real-secret-" * 4,
            "UNDERCOAT_HOSTS": "127.0.0.1",
            "UNDERCOAT_SSL_REDIRECT": "false",
            "DATABASE_URL": database,
            "UNDERCOAT_BROKER": f"{broker}/0",
            "UNDERCOAT_CACHE": f"{broker}/1",
        }

    def commands(self) -> dict[str, list[str]]:
        """As README says."""
        gunicorn = [str(BIN / "gunicorn"), "config.wsgi", "--worker-class", "gthread", "--workers", "2", "--threads", "4"]
        celery = [sys.executable, "-m", "celery", "-A", "config"]
        alone = ["--without-gossip", "--without-mingle"]
        return {
            "web": [*gunicorn, "--bind", f"127.0.0.1:{self.port}", "--access-logfile", "/dev/null"],
            "long": [*celery, "worker", "-c", "2", "-Q", "long", "-n", "long@%h", *alone],
            "quick": [*celery, "worker", "-c", "1", "-Q", "quick", "-n", "quick@%h", *alone],
            "beat": [*celery, "beat", "-s", str(self.data / "beat")],
        }
