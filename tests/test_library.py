"""Whole libraries on a cluster: Dask gives, byte for byte, what the command gives."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

from benchmark.library import library
from proofhook.library import found
from proofhook.proofing.house import House, read_house
from test_back_catalogue import run

pytestmark = pytest.mark.skipif(
    find_spec("distributed") is None, reason="needs Dask, the extra proofhook[cluster]"
)

#: The findings of a library, while one of the workers is killed after a few patterns.
ON_A_CLUSTER = """
import os, signal, sys, time
from pathlib import Path

def slowly(pattern):
    Path("done", str(os.getpid())).touch()
    time.sleep(0.1)
    return pattern

if __name__ == "__main__":
    import dask
    from dask import bag
    from dask.distributed import Client, LocalCluster
    from proofhook.library import findings
    from proofhook.proofing.house import read_house

    dask.config.set({"distributed.worker.memory.terminate": False})
    names = sorted(path.name for path in Path(".").glob("*.txt"))
    pairs = [(name, Path(name).read_text("utf-8")) for name in names]
    texts = bag.from_sequence(pairs, npartitions=len(names))
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        with Client(cluster) as client:
            first = sorted(client.run(os.getpid).values())
            future = client.compute(findings(texts.map(slowly), read_house("housestyle.toml")))
            while not Path("done", str(first[0])).exists():
                time.sleep(0.01)
            os.kill(first[0], signal.SIGKILL)
            lines = future.result(timeout=100)
            left = client.run(os.getpid).values()
    assert first[0] not in left, "the worker was not killed"
    Path("lines").write_text("\\n".join(lines) + "\\n", "utf-8")
"""


def test_a_cluster_finds_the_same_though_a_worker_is_killed(tmp_path: Path) -> None:
    for name, text in library(12):
        (tmp_path / name).write_text(text, "utf-8")
    (tmp_path / "housestyle.toml").write_text('[[wording]]\nwrite = "marker"\nnot = "st"\n')
    (tmp_path / "done").mkdir()
    (tmp_path / "cluster.py").write_text(ON_A_CLUSTER, "utf-8")
    done = subprocess.run(
        [sys.executable, "cluster.py"], cwd=tmp_path, capture_output=True, encoding="utf-8",
        check=False, timeout=200, env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    lines = (tmp_path / "lines").read_text("utf-8").splitlines()
    command = run(tmp_path, "proof", ".", "--format", "json")
    expected = [line.removesuffix(",") for line in command.out.splitlines()[1:-1]]
    assert len(expected) == 12
    assert lines == expected


def test_parts_of_a_style_sheet_hold_for_their_folders(tmp_path: Path) -> None:
    sheet = tmp_path / "housestyle.toml"
    sheet.write_text('[[folders]]\nin = ["old"]\n[folders.rules]\nstitch-total = "style"\n')
    house = read_house(str(sheet))
    text = "Rnd 1: 6 sc in a magic ring. (7)\n"

    def grades(path: str, house: House) -> list[str]:
        value = json.loads(found((path, text), house))
        assert value["path"] == path
        return [each["grade"] for each in value["findings"] if each["rule"] == "stitch-total"]

    assert grades(str(tmp_path / "new" / "a.txt"), house) == ["error"]
    assert grades(str(tmp_path / "old" / "a.txt"), house) == ["style"]


def test_a_text_without_rows_has_no_findings() -> None:
    assert json.loads(found(("a.txt", "A walk."), House())) == {
        "path": "a.txt",
        "findings": [],
        "let_stand": [],
    }
