"""What the client offers is what the service takes."""

import json
import re
from pathlib import Path

from analysis.core.label_sheets import PAGES, PRESETS, LabelSheet

PAPERS = Path(__file__).resolve().parents[2] / "surveys" / "client" / "model" / "papers.js"


def test_the_client_offers_just_the_sheets_papers_and_measures_that_the_service_knows():
    text = PAPERS.read_text(encoding="utf-8")
    sheets = re.search(r"SHEETS = (\[.*?\]);", text, re.S)
    papers = re.search(r"PAPERS = (\[.*?\]);", text)
    assert json.loads(re.sub(r",\s*\]", "]", sheets[1])) == list(PRESETS)
    assert json.loads(papers[1]) == list(PAGES)
    assert re.findall(r'^  \["(\w+)", "', text, re.M) == list(LabelSheet.__slots__)
