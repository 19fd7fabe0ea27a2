"""Computes the oracle's result for every log in ../fixtures that has a .meta.json beside it."""

import json
from pathlib import Path

from oracle import as_json, evaluate

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"

for metadata_path in sorted(FIXTURES.glob("*.meta.json")):
    name = metadata_path.name.removesuffix(".meta.json")
    metadata = json.loads(metadata_path.read_text(encoding="utf-8"))
    result = evaluate(FIXTURES / f"{name}.csv", metadata)
    (FIXTURES / f"{name}.oracle.json").write_text(as_json(result), encoding="utf-8")
    print(name, result["trace"])
