"""The run sheet as a calendar (RFC 5545): what somebody has to set about, and service."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from uuid import NAMESPACE_OID, uuid5

from icalendar import Alarm, Calendar, Event

from assistant.run_sheet import Move, RunSheet
from assistant.run_sheet_words import length

PRODID = "-//Hobside//Run sheet//EN"
WARNING = timedelta(minutes=1)


def as_calendar(sheet: RunSheet, *, made_at: float) -> str:
    """The calendar as text with CRLF line ends; made_at (POSIX seconds) is its DTSTAMP.

    One event for each hands-on step, for each other step that nothing before it sets going (an
    oven, a pan of water), and for service. A plan made anew for the same menu and day has the
    same UIDs, so that a calendar moves its events rather than doubling them.
    """
    calendar = Calendar()
    calendar.add("prodid", PRODID)
    calendar.add("version", "2.0")
    for move in sheet.moves:
        if move.begins:
            calendar.add_component(_move_event(sheet, move, made_at))
    for course in sheet.courses:
        calendar.add_component(_served_event(sheet, course.at, made_at))
    written: bytes = calendar.to_ical()
    return written.decode("utf-8")


def _served_event(sheet: RunSheet, at: float, made_at: float) -> Event:
    """Service, or a course before or after it, with its dishes."""
    served = [lane for lane in sheet.lanes if lane.serve_at == at]
    titles = [lane.title for lane in served]
    main = at == sheet.service_at
    what = "service" if main else f"course {' '.join(lane.name for lane in served)}"
    event = _event(sheet, what, at, at + 60, made_at)
    event.add("summary", f"Service: {sheet.title}" if main else f"Serve: {', '.join(titles)}")
    dishes = "\n".join(titles)
    event.add("description", f"For {sheet.servings}, in {sheet.kitchen}.\n{dishes}")
    return event


def _move_event(sheet: RunSheet, move: Move, made_at: float) -> Event:
    event = _event(sheet, move.key, move.start_at, move.end_at, made_at)
    lane = sheet.lane(move)
    name = move.name[:1].upper() + move.name[1:]
    event.add("summary", f"{name} ({lane.title})" if lane else name)
    event.add("description", "\n".join(_told(move)))
    if move.attention == "unattended":
        event.add("transp", "TRANSPARENT")  # it takes time, but not the cook's
    if move.status == "waiting":
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", f"In a minute: {move.name}")
        alarm.add("trigger", -WARNING)
        event.add_component(alarm)
    return event


def _event(sheet: RunSheet, what: str, start_at: float, end_at: float, made_at: float) -> Event:
    """An event in UTC, to the second; a calendar shows none that ends when it starts."""
    start = datetime.fromtimestamp(round(start_at), UTC)
    end = datetime.fromtimestamp(max(round(end_at), round(start_at) + 1), UTC)
    day = datetime.fromtimestamp(round(sheet.service_at)).date().isoformat()
    event = Event()
    event.add("uid", str(uuid5(NAMESPACE_OID, f"hobside {sheet.name!a} {day} {what!a}")))
    event.add("dtstamp", datetime.fromtimestamp(round(made_at), UTC))
    event.add("dtstart", start)
    event.add("dtend", end)
    return event


def _told(move: Move) -> Iterator[str]:
    yield move.say
    if move.way:
        yield f"{move.way[0].upper()}{move.way[1:]}."
    if move.gate:
        yield f"{move.gate[0].upper()}{move.gate[1:]}."
    yield f"{move.attention.capitalize()}, {length(move.end_at - move.start_at)}."
    if move.mark:
        yield f"Fixed mark: {move.mark}"
    yield from move.step.cautions
