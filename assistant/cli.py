"""The command line: `hobside COMMAND`, one function for each command."""

import argparse
import io
import json
import math
import os
import shutil
import sys
from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path

from assistant import import_command, wiring
from assistant.cook import Message
from domain.errors import KitchenError
from domain.settings import load_settings
from scheduling.compose import Timetable

DEFAULT_MENU = "harbour-supper"
_REASONS_S = 10.0  # nobody stands at the stove waiting for a plan on paper
_HALF_A_DAY_S = 12 * 3600.0


def main(argv: list[str] | None = None) -> int:
    """Run one command; returns the exit status: 0, 1 when nothing could be done, 2 for bad use."""
    _speak_utf8()
    options = _parser().parse_args(argv)
    try:
        return int(options.run(options) or 0)
    except KitchenError as error:
        print(f"hobside: {error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:  # whoever read our output has gone; nothing is left to flush to
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def _speak_utf8() -> None:
    """Lines in and out are UTF-8 whatever the locale; other bytes come in as surrogates."""
    for stream, errors in (
        (sys.stdin, "surrogateescape"), (sys.stdout, "replace"), (sys.stderr, "replace")
    ):  # fmt: skip
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors=errors)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="hobside", description="Get several dishes to the table at one moment, by voice."
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    plan = _command(commands, "plan", _plan, "plan a menu, or dishes put together, and print it")
    _menu_options(plan)
    plan.add_argument("--json", action="store_true", help="print the plan as one JSON object")
    plan.add_argument(
        "--run-sheet",
        choices=("text", "svg", "ics"),
        default="text",
        help="the run sheet as text, as a drawing, or for a calendar; default: %(default)s",
    )
    plan.add_argument(
        "--size",
        choices=("a4", "16:9"),
        default="a4",
        help="of the drawing: for paper or for a screen; default: %(default)s",
    )
    plan.add_argument(
        "--plain", action="store_true", help="text without a timeline, to be read out"
    )
    plan.add_argument("-o", "--output", type=Path, metavar="FILE", help="write to a file instead")

    cook = _command(commands, "cook", _cook, "cook a menu, talked through it")
    _menu_options(cook)
    cook.add_argument("--plain", action="store_true", help="never redraw: for screen readers")
    cook.add_argument("--typed", action="store_true", help="neither listen nor speak")
    cook.add_argument("--fresh", action="store_true", help="do not carry on an earlier cook")

    ask = _command(commands, "ask", _ask, "ask one thing about a menu that begins now")
    ask.add_argument("question")
    ask.add_argument("--menu", default=DEFAULT_MENU, help="default: %(default)s")
    _time_options(ask)

    rehearse = _command(commands, "rehearse", _rehearse, "a whole cook by a synthetic voice")
    _menu_options(rehearse)
    rehearse.add_argument("--seed", type=int, default=1, help="of the cook's choices")

    hear = _command(commands, "hear", _hear, "write down what is said in sound files")
    hear.add_argument("files", nargs="+", type=Path, metavar="AUDIO")
    hear.add_argument("--menu", default=None, help=f"whose words; default: {DEFAULT_MENU}")
    hear.add_argument(
        "--phrase-book",
        action="append",
        default=[],
        type=Path,
        metavar="FILE",
        help="hear these phrases instead, of Rasa NLU YAML; a file or folder, may be repeated",
    )
    hear.add_argument(
        "--engine", default=None, help="pair, sphinx, vosk or vosk-free; default: what is there"
    )

    soundcheck = _command(
        commands, "soundcheck", _soundcheck, "listen to the room, tell how well you are heard"
    )
    soundcheck.add_argument(
        "--microphone",
        default=None,
        metavar="NAME",
        help="part of a device's name, or its number; default: the settings', else the system's",
    )
    soundcheck.add_argument("--seconds", type=float, default=10.0, help="default: %(default)s")

    understand = _command(
        commands, "understand", _understand, "read utterances, write what they mean as JSON lines"
    )
    understand.add_argument("--menu", default=DEFAULT_MENU, help="default: %(default)s")

    serve = _command(commands, "serve", _serve, "HTTP and WebSocket service on this machine")
    _menu_options(serve)
    serve.add_argument("--host", default="127.0.0.1", help="default: %(default)s")
    serve.add_argument("--port", type=int, default=8765, help="default: %(default)s")
    serve.add_argument("--fresh", action="store_true", help="do not carry on an earlier cook")

    solve = _command(commands, "solve", _solve, "solve published project-scheduling instances")
    solve.add_argument("files", nargs="+", type=Path, metavar="FILE", help=".sm or .sch")
    solve.add_argument(
        "--seconds", type=_length_s, default=10.0, help="for each; default: %(default)s"
    )

    importing = _command(
        commands, "import", import_command.run, "make dish drafts of recipes of web pages"
    )
    import_command.add_options(importing)

    learned = _command(commands, "learned", _learned, "list your own times, take or forget them")
    learned.add_argument(
        "menu",
        nargs="*",
        default=[DEFAULT_MENU],
        metavar="DISH or MENU",
        help="whose times to look for; default: %(default)s",
    )
    learned.add_argument("--kitchen", default=None, help="name or file; default: the menu's own")
    change = learned.add_mutually_exclusive_group()
    change.add_argument("--accept", metavar="STEP", help="plan with your own time; all for every")
    change.add_argument("--forget", metavar="STEP", help="back to the written time; all for every")

    models = _command(commands, "models", _models, "list the model files, or add another")
    models.add_argument(
        "words",
        nargs="*",
        metavar="get NAME | add FILE",
        help="fetch a model from its publisher, or take a file fetched by hand",
    )
    models.add_argument("--sha256", default="", help="a checksum, where the manifest has none")
    return parser


def _length_s(written: str) -> float:
    """More than no seconds. Raises ValueError, which argparse tells."""
    seconds = float(written)
    if not 0 < seconds < math.inf:
        raise argparse.ArgumentTypeError(f"“{written}” is no length of time; write seconds over 0")
    return seconds


def _command(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
    name: str,
    run: Callable[[argparse.Namespace], int],
    text: str,
) -> argparse.ArgumentParser:
    parser = commands.add_parser(name, help=text, description=text)
    parser.set_defaults(run=run)
    return parser


def _menu_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "menu",
        nargs="*",
        default=[DEFAULT_MENU],
        metavar="DISH or MENU",
        help=f"a menu, or dishes to put together, by name or file; default: {DEFAULT_MENU}",
    )
    _time_options(parser)


def _time_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--kitchen", default=None, help="name or file; default: the menu's own")
    parser.add_argument(
        "--at", default=None, metavar="HH:MM", help="service; default: the menu’s, else soon"
    )
    parser.add_argument(
        "--clock",
        default=None,
        metavar="HH:MM[xN]",
        help="simulated time from then on, N times as fast; nothing is kept for a restart",
    )


def _request(
    options: argparse.Namespace, menu: list[str], clock: str | None = None
) -> wiring.Request:
    """What the shared options name. clock: for want of another."""
    request = wiring.request(menu, options.kitchen, options.at, options.clock or clock)
    now, wanted = request.clock.now(), request.wanted_at or 0.0
    tomorrow = datetime.fromtimestamp(wanted).date() > datetime.fromtimestamp(now).date()
    # A supper that begins before midnight and is eaten after it is no slip.
    if request.insists and tomorrow and wanted - now > _HALF_A_DAY_S:
        print(f"hobside: {options.at} is past today; this is for tomorrow", file=sys.stderr)
    return request


def _print_json(objects: Iterable[dict[str, object]]) -> int:
    """One object a line, flushed at once; the exit status: 1 when all of them were errors."""
    all_bad = None
    for item in objects:
        print(json.dumps(item, ensure_ascii=False), flush=True)
        all_bad = all_bad is not False and "error" in item
    return int(bool(all_bad))


def _plan(options: argparse.Namespace) -> int:
    request = _request(options, options.menu)
    written = _written_plan(options, request, wiring.planned(request))
    if options.run_sheet != "text":  # a drawing or a calendar has no place for it
        from assistant.foretold import drafts_told

        for line in drafts_told(request.menu):
            print(f"hobside: {line}", file=sys.stderr)
    if options.output is None:
        sys.stdout.write(written)
        return 0
    try:  # no line end is changed: a calendar's are its format's
        options.output.write_text(written, encoding="utf-8", newline="")
    except OSError as error:
        raise KitchenError(f"cannot write “{options.output}”: {error.strerror}") from error
    return 0


def _written_plan(
    options: argparse.Namespace, request: wiring.Request, timetable: Timetable
) -> str:
    from assistant.foretold import foretold
    from assistant.plan_json import as_json
    from assistant.run_sheet import run_sheet
    from assistant.run_sheet_calendar import as_calendar
    from assistant.run_sheet_svg import as_svg
    from assistant.run_sheet_text import as_text

    why = wiring.why_late_at_all(request, timetable, limit_s=_REASONS_S)
    if options.json:
        return json.dumps(as_json(request, timetable, why), ensure_ascii=False) + "\n"
    units = request.settings.units
    sheet = run_sheet(request.in_batches, request.kitchen, timetable, units=units, why=why)
    if options.run_sheet == "svg":
        return as_svg(sheet, options.size)
    if options.run_sheet == "ics":
        return as_calendar(sheet, made_at=request.clock.now())
    width = 80 if options.output else shutil.get_terminal_size().columns
    text = as_text(sheet, width=width, plain=options.plain)
    return "\n".join((text, *foretold(request, timetable))) + "\n"


def _cook(options: argparse.Namespace) -> int:
    from assistant.terminal import run

    wiring.keep_log()
    request = _request(options, options.menu)
    return run(request, plain=options.plain, typed=options.typed, fresh=options.fresh)


def _ask(options: argparse.Namespace) -> int:
    from assistant.running import kitchen_of

    request = _request(options, [options.menu])
    with kitchen_of(request, keep=False) as kitchen:
        kitchen.cook.attach(_print_trouble)
        kitchen.start()
        kitchen.start_server()
        print(kitchen.say(options.question).shown)
    return 0


def _print_trouble(message: Message) -> None:
    """What concerns the assistant itself is no part of the answer."""
    if message.kind == "notice":
        _tell(message.shown)


def _rehearse(options: argparse.Namespace) -> int:
    from assistant.rehearse import rehearse

    request = _request(options, options.menu, clock="18:00")
    return rehearse(request, options.seed, print)


def _hear(options: argparse.Namespace) -> int:
    from assistant.hear import hear_line

    book = wiring.somebodys_book(options.phrase_book)
    menu = options.menu or (None if book else DEFAULT_MENU)
    model = wiring.language_model(wiring.menu_named([menu]) if menu else None, book)
    for note in (*(book.notes if book else ()), *model.notes()):
        _tell(note)
    recogniser = wiring.recogniser_of(model, options.engine, _tell)
    return _print_json(hear_line(path, recogniser) for path in options.files)


def _tell(words: str) -> None:
    print(f"hobside: {words}", file=sys.stderr)


def _soundcheck(options: argparse.Namespace) -> int:
    from assistant.soundcheck import command

    return command(options.microphone or load_settings().microphone, options.seconds, print)


def _understand(options: argparse.Namespace) -> int:
    from assistant.understood_line import understood_line

    menu = wiring.menu_named([options.menu])
    with wiring.understanding(menu) as understand:
        return _print_json(understood_line(understand, line) for line in sys.stdin)


def _solve(options: argparse.Namespace) -> int:
    from assistant.solve_command import solve_line

    return _print_json(solve_line(path, options.seconds) for path in options.files)


def _serve(options: argparse.Namespace) -> int:
    from assistant.service import run

    wiring.keep_log()
    request = _request(options, options.menu)
    return run(request, host=options.host, port=options.port, fresh=options.fresh)


def _learned(options: argparse.Namespace) -> int:
    from assistant.answer_learned import changed, lines
    from assistant.learning import keep

    menu = wiring.menu_named(options.menu)
    own = wiring.learned_of(menu, wiring.kitchen_for(menu, options.kitchen))
    if options.accept or options.forget:
        after = changed(own, options.accept, options.forget)
        keep(own, after)
        own = after
    for line in lines(own, menu):
        print(line)
    return 0


def _models(options: argparse.Namespace) -> int:
    from assistant.download import command

    return command(options.words, options.sha256, print)


if __name__ == "__main__":
    sys.exit(main())
