"""What stands below a run sheet: how likely its time is, the cook's own times, and guesses."""

from collections.abc import Iterator

from assistant.answer_learned import in_use_line, offered_line
from assistant.answer_suppose import decided_told, range_told
from assistant.run_sheet_words import clean
from assistant.two_forms import to_show
from assistant.wiring import Request
from domain.menu import Menu
from scheduling.forecast import Forecast, forecast, view_of_plan
from scheduling.timetable import Timetable
from scheduling.view import View


def forecast_of(request: Request, timetable: Timetable) -> tuple[Forecast, View]:
    """The forecast of a plan before anything has begun, and the view that it is of."""
    view = view_of_plan(request.in_batches, request.kitchen, timetable, request.clock.now())
    return forecast(view), view


def foretold(request: Request, timetable: Timetable) -> Iterator[str]:
    """When we shall probably eat, own times in use and offered, and dishes that are drafts."""
    likely, view = forecast_of(request, timetable)
    yield clean(to_show(" ".join((*range_told(likely), *decided_told(likely, view)))))
    for line in (in_use_line, offered_line):
        if told := line(request.learned, request.menu):
            yield clean(told)
    yield from drafts_told(request.menu)


def drafts_told(menu: Menu) -> Iterator[str]:
    """One line for each dish that is still a draft: how much of it nobody has checked."""
    for dish in menu.dishes:
        told = []
        if guesses := len(dish.guesses):
            values = "1 value is a guess" if guesses == 1 else f"{guesses} values are guesses"
            told.append(f"{values} to check, under “guessed” in its file")
        if unread := len(dish.unread):
            lines = "1 line" if unread == 1 else f"{unread} lines"
            told.append(f"{lines} of its recipe could not be read")
        if told:
            yield clean(f"“{dish.title}” is a draft: {'; '.join(told)}.")
