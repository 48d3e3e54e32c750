"""What stands below a run sheet: how likely its time is, and the cook's own times."""

from collections.abc import Iterator

from assistant.answer_learned import in_use_line, offered_line
from assistant.answer_suppose import decided_told, range_told
from assistant.run_sheet_words import clean
from assistant.two_forms import to_show
from assistant.wiring import Request
from scheduling.forecast import Forecast, forecast, view_of_plan
from scheduling.timetable import Timetable
from scheduling.view import View


def forecast_of(request: Request, timetable: Timetable) -> tuple[Forecast, View]:
    """The forecast of a plan before anything has begun, and the view that it is of."""
    view = view_of_plan(request.in_batches, request.kitchen, timetable, request.clock.now())
    return forecast(view), view


def foretold(request: Request, timetable: Timetable) -> Iterator[str]:
    """One line of when we shall probably eat, and one each of own times in use and offered."""
    likely, view = forecast_of(request, timetable)
    yield clean(to_show(" ".join((*range_told(likely), *decided_told(likely, view)))))
    for line in (in_use_line, offered_line):
        if told := line(request.learned, request.menu):
            yield clean(told)
