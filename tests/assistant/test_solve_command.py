"""One object a file, whatever the file is like; the instances are small enough for pencil."""

import json
from pathlib import Path

import pytest

from assistant.solve_command import solve_line

RULE = "*" * 72


def sm(folder: Path, lengths: list[int], demands: list[int], capacity: int = 4) -> Path:
    """A `.sm` file of activities side by side between the usual empty first and last one."""
    count = len(lengths) + 2
    after = " ".join(str(n) for n in range(2, count))
    lines = [RULE, "file with basedata            : none"]
    lines += ["initial value random generator: 1", RULE]
    lines += ["projects                      :  1", f"jobs (incl. supersource/sink ):  {count}"]
    lines += [f"horizon                       :  {sum(lengths)}", "RESOURCES"]
    lines += ["  - renewable                 :  1   R", "  - nonrenewable              :  0   N"]
    lines += ["  - doubly constrained        :  0   D", RULE, "PROJECT INFORMATION:"]
    lines += ["pronr.  #jobs rel.date duedate tardcost  MPM-Time"]
    lines += [f"    1     {count - 2}      0       9       0       9", RULE]
    lines += ["PRECEDENCE RELATIONS:", "jobnr.    #modes  #successors   successors"]
    lines += [f"   1        1          {len(lengths)}           {after}"]
    lines += [f"   {n}        1          1          {count}" for n in range(2, count)]
    lines += [f"   {count}        1          0        ", RULE, "REQUESTS/DURATIONS:"]
    lines += ["jobnr. mode duration  R 1", "-" * 72, "  1      1     0       0"]
    for n, (length, demand) in enumerate(zip(lengths, demands, strict=True)):
        lines.append(f"  {n + 2}      1     {length}       {demand}")
    lines += [f"  {count}      1     0       0", RULE, "RESOURCEAVAILABILITIES:", "  R 1"]
    path = folder / "own.sm"
    path.write_text("\n".join([*lines, f"   {capacity}", RULE, ""]))
    return path


def sch(folder: Path, most: int) -> Path:
    """Two activities of 3 and 4 on a resource for one; the second starts within `most`."""
    rows = ["2 1 0 0", "0 1 1 1 [0]", "1 1 1 2 [1]", f"2 1 2 3 1 [4] [-{most}]", "3 1 0"]
    rows += ["0 1 0 0", "1 1 3 1", "2 1 4 1", "3 1 0 0", "1"]
    path = folder / "own.sch"
    path.write_text("\n".join("\t".join(row.split()) for row in rows) + "\n")
    return path


def test_the_shortest_schedule_is_found_and_proven(tmp_path: Path) -> None:
    """Demands 3, 2, 2 of 4: the first alone (5), then the others together (3)."""
    path = sm(tmp_path, [5, 3, 3], [3, 2, 2])
    line = solve_line(path, 5)
    assert (line["makespan"], line["bound"], line["status"]) == (8, 8, "optimal")
    assert list(line) == ["file", "makespan", "bound", "status", "took_s"]
    assert line["file"] == str(path)
    assert json.loads(json.dumps(line)) == line


def test_most_lags_are_kept(tmp_path: Path) -> None:
    """The second starts 1 to 3 after the first starts, which takes the resource for 3."""
    assert solve_line(sch(tmp_path, 3), 5)["makespan"] == 7
    line = solve_line(sch(tmp_path, 2), 5)
    assert (line["makespan"], line["bound"], line["status"]) == (None, None, "infeasible")


def test_lags_that_contradict_each_other_are_infeasible(tmp_path: Path) -> None:
    """At least 1 after, and at most 0 after."""
    assert solve_line(sch(tmp_path, 0), 5)["status"] == "infeasible"


def test_no_time_at_all_is_told_as_it_is(tmp_path: Path) -> None:
    """A schedule by rule of thumb is there at once; without one, nothing is claimed."""
    line = solve_line(sm(tmp_path, [5, 4, 3, 3], [2, 2, 3, 3]), 0)
    assert line["status"] in ("feasible", "optimal")
    assert isinstance(line["makespan"], int)
    assert isinstance(line["bound"], int)
    assert line["bound"] <= line["makespan"]
    line = solve_line(sch(tmp_path, 2), 0)
    assert (line["makespan"], line["bound"], line["status"]) == (None, 5, "unknown")


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.sm", b""),
        ("empty.sch", b""),
        ("noise.sch", bytes(range(256)) * 4),
        ("words.sm", b"two onions and a pan\n"),
        ("notes.txt", b"10\t5\t0\t0\n"),
    ],
)
def test_a_bad_file_is_an_error_with_its_name(tmp_path: Path, name: str, content: bytes) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    line = solve_line(path, 1)
    assert (line["makespan"], line["status"]) == (None, "error")
    assert name in str(line["error"])


def test_a_file_cut_short_or_not_there_is_an_error(tmp_path: Path) -> None:
    whole = sm(tmp_path, [5, 3, 3], [3, 2, 2])
    whole.write_text(whole.read_text()[:900])
    assert solve_line(whole, 1)["status"] == "error"
    assert "cannot be read" in str(solve_line(tmp_path / "gone.sm", 1)["error"])


def test_an_activity_too_big_for_its_resource_is_infeasible(tmp_path: Path) -> None:
    line = solve_line(sm(tmp_path, [5, 3], [3, 6]), 1)
    assert (line["makespan"], line["bound"], line["status"]) == (None, None, "infeasible")


def test_a_thousand_activities_have_a_schedule_at_once(tmp_path: Path) -> None:
    """Two of 4 at a time, each 3 long: 1500, however little time there is to prove it."""
    line = solve_line(sm(tmp_path, [3] * 1000, [2] * 1000), 0.1)
    assert line["makespan"] == 1500


def test_durations_of_a_million(tmp_path: Path) -> None:
    """Demands 3, 2, 2 of 4, as above, in a finer unit of time."""
    line = solve_line(sm(tmp_path, [5_000_001, 3_000_001, 3_000_001], [3, 2, 2]), 5)
    assert (line["makespan"], line["bound"], line["status"]) == (8_000_002, 8_000_002, "optimal")
