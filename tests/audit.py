"""Known vulnerabilities in what is locked: every package of requirements-dev.lock, and what the browser gets by package-lock.json.

Run: python -m tests.audit. Answers 0 where both services were asked and know of nothing, 1 where one knows of a vulnerability, and
NOT_ASKED where one could not be asked: that is no fault of the code, but it is not called checked either.

A registry's mirror may answer 'no such package' or nothing at all, which the tools take for 'nothing known'. So a release of which
everybody knows that it is vulnerable is asked about first, and every package that was passed over counts as not asked.
UNDERCOAT_AUDIT_OSV names a server with the interface of OSV (https://google.github.io/osv.dev/api/) to be asked instead of the index.
"""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent
NOT_ASKED = 75  # EX_TEMPFAIL of sysexits.h: try again another time
# CVE-2023-31047, CVE-2024-42005 and others: https://docs.djangoproject.com/en/stable/releases/security/
KNOWN = "django==4.2.0"
# CVE-2020-8203 and others: https://github.com/advisories/GHSA-p6mc-m468-83gw
KNOWN_MODULE = ("lodash", "4.17.15")
SECONDS = 300


class CouldNotAsk(Exception):
    """A service did not say what it was asked."""


def main() -> int:
    """Ask both, say what was found."""
    worst = 0
    for what, ask in (("Python packages", python), ("browser packages", browser)):
        try:
            found = ask()
        except CouldNotAsk as reason:
            print(f"{what}: could not be asked, so nothing is known of them: {reason}")
            worst = worst or NOT_ASKED
            continue
        for line in found:
            print(f"{what}: {line}")
        if found:
            worst = 1
        else:
            print(f"{what}: all were asked about; no vulnerability is known.")
    return worst


def python(lock: Path = ROOT / "requirements-dev.lock") -> list[str]:
    """The known vulnerabilities of the packages in a lock file, a line each."""
    with tempfile.TemporaryDirectory() as folder:
        canary = Path(folder) / "known.txt"
        canary.write_text(KNOWN + "\n")
        if not vulnerable(asked(canary, "--no-deps")):
            raise CouldNotAsk(f"the service knows nothing of {KNOWN}, of which much is known.")
    told = asked(lock, "--require-hashes")
    passed_over = [one["name"] for one in told if "skip_reason" in one]
    found = vulnerable(told)
    if passed_over and not found:
        raise CouldNotAsk(f"{len(passed_over)} of {len(told)} were passed over: {', '.join(passed_over[:8])}.")
    return found


def asked(file: Path, *more: str) -> list[dict[str, Any]]:
    """What pip-audit says of each package of a requirements file."""
    service = os.environ.get("UNDERCOAT_AUDIT_OSV", "")
    where = ["-s", "osv", "--osv-url", service] if service else ["-s", "pypi"]
    command = [BIN / "pip-audit", "-r", file, "--disable-pip", "--progress-spinner", "off", "-f", "json", *where, *more]
    done = run(command, ROOT)
    try:
        return list(json.loads(done.stdout)["dependencies"])
    except (ValueError, KeyError):
        raise CouldNotAsk(last_line(done.stderr)) from None


def vulnerable(told: list[dict[str, Any]]) -> list[str]:
    """A line for each package of which something is known."""
    return [f"{one['name']} {one['version']}: {', '.join(told_of['id'] for told_of in one['vulns'])}" for one in told if one.get("vulns")]


def browser(folder: Path = ROOT) -> list[str]:
    """The known vulnerabilities of what npm installs for the browser."""
    name, version = KNOWN_MODULE
    with tempfile.TemporaryDirectory() as canary:
        root = {"name": "known", "version": "1.0.0", "dependencies": {name: version}}
        packages = {"": root, f"node_modules/{name}": {"version": version}}
        (Path(canary) / "package.json").write_text(json.dumps(root))
        (Path(canary) / "package-lock.json").write_text(json.dumps({**root, "lockfileVersion": 3, "packages": packages}))
        if name not in asked_npm(Path(canary)):
            raise CouldNotAsk(f"the service knows nothing of {name} {version}, of which much is known.")
    return [f"{module}: {one['severity']}" for module, one in sorted(asked_npm(folder).items())]


def asked_npm(folder: Path) -> dict[str, Any]:
    """What npm says of each vulnerable package of a lock file."""
    done = run([BIN / "npm", "audit", "--json", "--package-lock-only"], folder)
    try:
        return dict(json.loads(done.stdout)["vulnerabilities"])
    except (ValueError, KeyError):
        raise CouldNotAsk(last_line(done.stderr)) from None


def run(command: list[Any], folder: Path) -> subprocess.CompletedProcess[str]:
    """A tool's answer, whatever its exit code: both tell by it that something was found."""
    try:
        return subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=SECONDS, check=False)
    except subprocess.TimeoutExpired:
        raise CouldNotAsk(f"no answer in {SECONDS} s.") from None


def last_line(text: str) -> str:
    """The last thing that was said."""
    lines = [line.strip() for line in text.splitlines() if line.strip() and "complete log" not in line]
    return lines[-1] if lines else "no reason was given."


if __name__ == "__main__":
    sys.exit(main())
