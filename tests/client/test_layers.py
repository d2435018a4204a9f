"""The client's modules import downwards only, and nothing from outside the program."""

import re
from pathlib import Path

CLIENT = Path(__file__).resolve().parents[2] / "surveys" / "client"
ORDER = ("lib", "model", "api", "grid", "screens", "main.js")
IMPORT = re.compile(r'^(?:import|export)\b[^;]*?\bfrom\s+"([^"]+)"|^import\s+"([^"]+)"|\bimport\("([^"]+)"\)\s*(?!\.)', re.MULTILINE)


def rank(path: Path) -> int:
    return ORDER.index(path.relative_to(CLIENT).parts[0])


def imports(path: Path) -> list[str]:
    code = re.sub(r"/\*.*?\*/", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    return [next(filter(None, found)) for found in IMPORT.findall(code)]


def modules() -> list[Path]:
    return sorted(CLIENT.rglob("*.js"))


def test_imports_point_down_and_stay_within_the_program():
    strays = []
    for path in modules():
        for wanted in imports(path):
            target = (path.parent / wanted).resolve()
            if not wanted.startswith(".") or not target.is_file() or rank(target) > rank(path):
                strays.append(f"{path.relative_to(CLIENT)} imports {wanted}")
    assert strays == []


def test_the_check_of_imports_sees_them(tmp_path):
    sample = tmp_path / "a.js"
    sample.write_text('import { a,\n b } from "./x.js";\nimport "y";\nexport { c } from "../z.js";\nconst d = import("w");\n')
    assert imports(sample) == ["./x.js", "y", "../z.js", "w"]


def test_no_text_is_ever_read_as_markup_or_code():
    wicked = re.compile(
        r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function|setAttribute\(\s*[\"']style|\bstyle="
    )
    assert [path.name for path in modules() if wicked.search(path.read_text(encoding="utf-8"))] == []


def test_no_module_is_longer_than_is_easily_read():
    assert [path.name for path in modules() if len(path.read_text(encoding="utf-8").splitlines()) > 300] == []
