"""The front door: what `from greenrota import ...` gives, and that it costs nothing before it is used."""

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

import greenrota
from greenrota.errors import ProblemsFound

SHELF = Path(__file__).parent.parent / "examples" / "shelf.toml"


def test_a_plan_a_logbook_and_a_day_give_the_rota(tmp_path: Path) -> None:
    book = tmp_path / "shelf.log"
    book.write_text(
        "2027-02-03 started north n=1\n2027-02-03 void - entry=1 n=2\nnonsense\n", encoding="utf-8"
    )
    plan = greenrota.load(SHELF)
    rota = greenrota.schedule(plan, greenrota.load_log(book), date(2027, 2, 4))
    assert (
        rota.as_of == plan.start
    )  # by hand: the one start is void and the third line is none, so nothing is logged
    book.write_text("2027-02-03 started north n=1\n", encoding="utf-8")
    rota = greenrota.schedule(plan, greenrota.load_log(str(book)), date(2027, 2, 4))
    assert rota.as_of == date(2027, 2, 4)
    assert "north/1/start" not in {task.id for task in rota.tasks}


def test_no_logbook_is_an_empty_one_and_a_faulty_plan_tells_its_problems(tmp_path: Path) -> None:
    assert greenrota.load_log(tmp_path / "none.log") == ()
    faulty = tmp_path / "plan.toml"
    faulty.write_text('[rota]\nname = "x"\n', encoding="utf-8")
    with pytest.raises(ProblemsFound) as found:
        greenrota.load(faulty)
    assert {problem.where.file for problem in found.value.problems} == {str(faulty)}


def test_importing_the_package_loads_nothing_else() -> None:
    heavy = "('greenrota.', 'numpy', 'pydantic')"
    asked = f"import sys, greenrota; print([m for m in sys.modules if m.startswith({heavy})])"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
