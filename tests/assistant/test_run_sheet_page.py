"""Where everything of a run sheet stands on a page."""

from hypothesis import given, settings
from hypothesis import strategies as st
from sheets import KITCHEN, SIX, crowd

from assistant.run_sheet import run_sheet
from assistant.run_sheet_page import laid_out


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(0, 7200), min_size=2, max_size=8))
def test_time_never_runs_up_the_page(moments):
    menu, plan = crowd(7)
    page = laid_out(run_sheet(menu, KITCHEN, plan), 0, 0, 280, 160)
    for column in page.columns:
        downs = [column.y(SIX + at) for at in sorted(moments)]
        assert downs == sorted(downs)
        assert column.bottom <= 160 + 1e-6
