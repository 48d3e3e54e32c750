"""Reading published instance files, and files that are none."""

import pytest

from domain.errors import FileProblem
from scheduling.instances import read_instance
from scheduling.plan import Plan
from scheduling.solve import solve

# ProGen/max: inner activities and resources; for each activity its modes, successors, delays;
# then its duration and demands; then the capacities. Two activities between a start and an end,
# both wanting the one machine, the second at least 1 after the first begins.
TINY = """2 1 0 0
0 1 2 1 2 [0] [0]
1 1 1 3 [3]
2 1 1 3 [2]
3 1 0
0 1 0 0
1 1 3 1
2 1 2 1
3 1 0 0
1
"""


def test_a_small_instance_is_solved(tmp_path):
    file = tmp_path / "tiny.sch"
    file.write_text(TINY)
    plan = solve(read_instance(file), workers=1)
    assert isinstance(plan, Plan)
    assert plan.levels[0].cost == 5  # 3 + 2 on one machine
    assert plan.proven


@pytest.mark.parametrize("text", ["", "nonsense", TINY[:40], TINY.replace("3 1 0", "x"), "9 9\n"])
def test_a_damaged_file_is_named(tmp_path, text):
    file = tmp_path / "bad.sch"
    file.write_text(text)
    with pytest.raises(FileProblem, match=r"bad\.sch"):
        read_instance(file)


def test_another_kind_of_file_is_refused(tmp_path):
    with pytest.raises(FileProblem, match="is not one of"):
        read_instance(tmp_path / "plan.txt")
