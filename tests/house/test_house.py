"""The order of the house: every rule has one place, and nothing goes round it."""

import ast
import inspect
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCES = [path for top in ("config", "surveys", "analysis") for path in (ROOT / top).rglob("*.py") if "migrations" not in path.parts]

# The one pen, and those who write rows that are not records of the project: jobs, answers, tokens, people, their views.
WRITERS = {
    "surveys/records/writing.py",
    "surveys/records/editing.py",  # the project itself, before there is anything to lock
    "surveys/records/archives.py",  # a whole project as it was elsewhere, with its own history
    "surveys/history.py",
    "surveys/jobs/asking.py",
    "surveys/jobs/doing.py",
    "surveys/jobs/files.py",
    "surveys/jobs/stopping.py",
    "surveys/sendings.py",
    "surveys/tokens.py",
    "surveys/seen.py",
    "surveys/people.py",
    "surveys/sessions.py",
    "surveys/second_factor.py",
    "surveys/saved_views.py",
    "surveys/idempotency.py",
    "surveys/work/shell.py",
    "surveys/work/demonstration.py",
}
WRITES = {"save", "create", "bulk_create", "update", "bulk_update", "delete", "get_or_create", "update_or_create", "create_user"}


def name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def raw_writes(path: Path) -> list[str]:
    """Calls that look like a write by the object mapper: a method of that name on a manager, a queryset or an instance."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute) or node.func.attr not in WRITES:
            continue
        text = ast.unparse(node.func.value)
        manager = re.search(r"objects|_default_manager|\.filter\(|\.all\(|\.exclude\(", text)
        if manager or (node.func.attr == "save" and name(path).startswith("surveys") and text != "default_storage"):
            found.append(f"{name(path)}:{node.lineno} {ast.unparse(node.func)}")
    return found


def test_only_the_pen_writes_records():
    strays = [write for path in SOURCES if name(path) not in WRITERS for write in raw_writes(path)]
    assert strays == []


def test_the_check_for_raw_writes_would_find_one(tmp_path, monkeypatch):
    monkeypatch.setattr(sys.modules[__name__], "ROOT", tmp_path)
    (tmp_path / "surveys").mkdir()
    stray = tmp_path / "surveys" / "stray.py"
    stray.write_text("Layer.objects.filter(pk=1).update(kind='paint')\nlayer.save()\n")
    assert len(raw_writes(stray)) == 2


def test_the_interface_opens_no_transaction():
    strays = [name(path) for path in (ROOT / "surveys" / "api").rglob("*.py") if "transaction" in path.read_text(encoding="utf-8")]
    assert strays == []


def test_models_override_no_save_and_nobody_listens_to_signals():
    texts = {name(path): path.read_text(encoding="utf-8") for path in SOURCES}
    assert [path for path, text in texts.items() if "def save(" in text and path.startswith("surveys/models")] == []
    assert [path for path, text in texts.items() if re.search(r"post_save|pre_save|@receiver|post_delete", text)] == []


@pytest.mark.parametrize("path", SOURCES, ids=name)
def test_every_module_and_every_public_piece_says_what_it_is_for(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    if path.stat().st_size == 0:
        return
    untold = [] if ast.get_docstring(tree) else ["the module"]
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_") and not ast.get_docstring(node):
            untold.append(node.name)
    assert untold == []


def test_starting_the_program_loads_no_heavy_library():
    code = (
        "import os, sys; os.environ['DJANGO_SETTINGS_MODULE']='config.settings';"
        "import django; django.setup();"
        "from django.urls import get_resolver; get_resolver().url_patterns;"
        "heavy = ('scipy', 'skimage', 'colour', 'reportlab', 'openpyxl', 'matplotlib', 'PIL', 'pyvips', 'tifffile', 'boto3');"
        "print([name for name in heavy if name in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


def test_documented_parameters_of_the_kernels_are_those_of_the_signature():
    """A numpydoc 'Parameters' section names just what the function takes."""
    import importlib
    import pkgutil

    import analysis.core

    wrong = []
    for info in pkgutil.walk_packages(analysis.core.__path__, "analysis.core."):
        module = importlib.import_module(info.name)
        for label, function in inspect.getmembers(module, inspect.isfunction):
            text = inspect.getdoc(function) or ""
            if function.__module__ != info.name or "Parameters\n----------" not in text:
                continue
            section = text.split("Parameters\n----------\n", 1)[1]
            section = re.split(r"\n[A-Z][A-Za-z ]+\n-{3,}", section)[0]
            told = [
                part.strip(" *")
                for line in section.splitlines()
                if re.match(r"^[\w*, ]+( : |$)", line)
                for part in line.split(" : ")[0].split(",")
            ]
            takes = list(inspect.signature(function).parameters)
            exported = label in getattr(sys.modules[info.name.rpartition(".")[0]], "__all__", ()) or info.name.count(".") == 2
            if told != takes if exported else not set(told) <= set(takes):
                wrong.append(f"{info.name}.{label}: documents {told}, takes {takes}")
    assert wrong == []


def test_no_path_of_one_machine_and_no_address_of_a_registry_is_committed():
    files = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split("\0")
    registry = re.compile(r"files\.python" + r"hosted|registry\.np" + r"mjs|py" + r"pi\.org")
    strays = []
    for file in files:
        path = ROOT / file
        if not file or not path.is_file() or path.suffix in {".xlsx", ".npz", ".png", ".npy"}:
            continue
        text = path.read_text(encoding="utf-8", errors="replace")
        if re.search(r"(?<![\w/])/(?:work|root|home)/\w", text) or registry.search(text):
            strays.append(file)
    assert strays == []
