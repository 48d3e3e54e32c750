"""The smallest set that collides, against trying every set."""

from functools import partial
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as some

from scheduling.conflict import Answer, Conflict, smallest_conflict

LETTERS = "abcdefgh"


Conflicts = list[frozenset[str]]


def answered(conflicts: Conflicts, kept: frozenset[str], most: bool) -> Answer[str]:
    """With no more than was asked for, or with all that follows from it."""
    core = next((conflict for conflict in conflicts if conflict <= kept), None)
    if core is not None:
        return Answer(False, core)
    for letter in LETTERS if most else "":
        if not collides(conflicts, kept | {letter}):
            kept |= {letter}
    return Answer(True, kept)


def collides(conflicts: Conflicts, kept: frozenset[str]) -> bool:
    return any(conflict <= kept for conflict in conflicts)


@given(some.lists(some.frozensets(some.sampled_from(LETTERS)), max_size=6))
def test_it_is_as_small_as_the_smallest_by_trying_every_set(
    conflicts: Conflicts,
) -> None:
    found = smallest_conflict(LETTERS, partial(answered, conflicts))
    smallest = next(
        (
            size
            for size in range(len(LETTERS) + 1)
            for kept in combinations(LETTERS, size)
            if collides(conflicts, frozenset(kept))
        ),
        None,
    )
    if smallest is None:
        assert found is None
        return
    assert found is not None
    assert found.smallest
    assert len(found.limits) == smallest
    assert collides(conflicts, frozenset(found.limits))


@given(
    some.lists(some.frozensets(some.sampled_from(LETTERS)), min_size=1, max_size=6),
    some.integers(1, 12),
)
def test_when_answers_stop_it_still_collides(conflicts: Conflicts, most: int) -> None:
    asked = 0

    def ask(kept: frozenset[str], widest: bool) -> Answer[str] | None:
        nonlocal asked
        asked += 1
        return None if asked > most else answered(conflicts, kept, widest)

    found = smallest_conflict(LETTERS, ask)
    if found is None:
        assert not collides(conflicts, frozenset(LETTERS))
    else:
        assert collides(conflicts, frozenset(found.limits))


def test_of_equal_sets_the_first_limits_are_preferred() -> None:
    both = [frozenset("ab"), frozenset("gh")]
    found = smallest_conflict(LETTERS, partial(answered, both))
    assert found == Conflict(("a", "b"), smallest=True)


def test_nothing_is_claimed_that_is_not_proven() -> None:
    assert smallest_conflict(LETTERS, lambda kept, most: None) is None
