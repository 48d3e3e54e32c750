"""The command line: one clear line for every mistake, JSON lines in order, exit statuses."""

import io
import json
import sys
from datetime import datetime

import pytest
from sounds import spoken, written

from assistant import running, wiring
from assistant.cli import main
from assistant.intent_server import IntentServer
from assistant.journal import Journal, cooks_folder
from assistant.learning import accepted
from domain.cookbook import load_kitchen, load_menu
from scheduling.clock import Anchor
from scheduling.events import Event

RINSE = "white-rice/rinse the rice"

pytestmark = pytest.mark.usefixtures("own_folders")


@pytest.fixture
def served(monkeypatch, intent_server: IntentServer):
    """Commands use the run's own intent server in place of one more."""

    class Shared(IntentServer):
        def __init__(self, on_change=None):
            self.wait, self.parse = intent_server.wait, intent_server.parse
            self.ready = intent_server.ready

        def start(self):
            pass

        def close(self):
            pass

    for module in (running, wiring):
        monkeypatch.setattr(module, "IntentServer", Shared)


def typed(monkeypatch, written: bytes):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(written), encoding="ascii"))


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["plan", "harbor-super"], "there is no menu called “harbor-super”"),
        (["plan", "green-beans", "white-rise"], "did you mean “white-rice”?"),
        (["plan", "green-beans", "harbour-supper"], "“harbour-supper” is no dish’s name"),
        (["plan", "green-beans", "green-beans"], "is there 2 times"),
        (["plan", *(f"dish-{n}" for n in range(100))], "has 100 dishes; cook at most 20 at once"),
        (["serve", *(f"dish-{n}" for n in range(100))], "has 100 dishes; cook at most 20 at once"),
        (["plan", "--kitchen", "bench"], "roasting tray"),
        (["plan", "--kitchen", "nowhere"], "there is no kitchen called “nowhere”"),
        (["plan", "--at", "half six"], "“half six” is not a time of service"),
        (["plan", "--at", "24:00"], "“24:00” is not a time of service"),
        (["plan", "--clock", "18:00x"], "“18:00x” is not a time"),
        (["plan", "nothing-here.yaml"], "nothing-here.yaml"),
        (["cook", "--kitchen", "bench", "--clock", "18:00"], "roasting tray"),
        (["hear", "--engine", "ear-trumpet", "a.wav"], "ear-trumpet"),
        (["understand", "--menu", "harbor-super"], "there is no menu called"),
    ],
)
def test_a_mistake_is_one_line_and_status_1(arguments, says, capsys, monkeypatch):
    typed(monkeypatch, b"")
    assert main(arguments) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("hobside: ")
    assert err.count("\n") == 1
    assert says in err


BAD_STEPS = {
    "0 min": "lasts no time at all; give every step at least a few seconds",
    "-5 min": "“-5 min” is less than nothing",
    "3 days": "“3 days” is days long; list what is done the day before under “ahead”",
    "10 min, after: wash": "these collide: “dry” (10 min); “dress” within 5 min of “wash”",
    "2 min, uses: [salad spinner]": "“dry” needs “salad spinner”, which is not there",
}


@pytest.mark.parametrize("how", BAD_STEPS)
def test_a_dish_that_cannot_be_cooked_is_one_line_and_names_the_step(how, tmp_path, capsys):
    (tmp_path / "leaves.yaml").write_text(
        "title: Leaves\nserves: 2\ningredients: {leaves: 200 g}\nsteps:\n"
        "  wash: {say: Wash them., takes: 2 min, attention: hands-on}\n"
        f"  dry: {{say: Dry them., attention: unattended, takes: {how}}}\n"
        "  dress: {say: Dress them., takes: 1 min, attention: hands-on, "
        "after: {dry: any time, wash: within 5 min}}\n"
    )
    (tmp_path / "lunch.yaml").write_text("title: Lunch\nservings: 2\ndishes: [leaves]\n")
    assert main(["plan", str(tmp_path / "lunch.yaml"), "--clock", "12:00"]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert BAD_STEPS[how] in err


def test_bad_use_is_status_2(capsys):
    with pytest.raises(SystemExit) as bad:
        main(["fry"])
    assert bad.value.code == 2
    assert "invalid choice: 'fry'" in capsys.readouterr().err


@pytest.mark.parametrize("seconds", ["0", "-1", "nan", "inf", "soon"])
def test_no_time_to_solve_in_is_bad_use(seconds, capsys):
    with pytest.raises(SystemExit) as left:
        main(["solve", "x.sm", "--seconds", seconds])
    assert left.value.code == 2
    assert "--seconds" in capsys.readouterr().err


def test_a_plan_as_json(capsys):
    assert main(["plan", "--json", "--clock", "18:00", "--at", "18:10"]) == 0
    (line,) = capsys.readouterr().out.splitlines()
    plan = json.loads(line)
    assert plan["late_s"] == 53 * 60
    assert "T19:03:00" in plan["service"]
    assert plan["proven"]
    assert plan["reasons"] == [
        "“Roast the chicken” (25 min) alone takes too long for service at 18:10.",
        "No change that was tried makes 18:10 possible.",
        "Leave out “Roast chicken thighs with fennel”: 21 min sooner.",
    ]


def test_a_plan_tells_when_we_shall_probably_eat(capsys):
    assert main(["plan", "--json", "--clock", "18:00"]) == 0
    likely = json.loads(capsys.readouterr().out)["forecast"]
    assert likely["low"] <= likely["expected"] <= likely["high"]
    assert main(["plan", "--clock", "18:00"]) == 0
    text = capsys.readouterr().out
    low, high = (likely[end][11:16] for end in ("low", "high"))
    assert f"Eight times in ten, between {low} and {high}. Most hangs on one step: " in text


def rinsed_in(took_s: float, day: int) -> None:
    """An evening of the sample menu, kept and ended, of which only the rinsing was told."""
    began = 1_700_000_000.0 + 86_400 * day
    menu = load_menu("harbour-supper")
    kitchen = load_kitchen(menu.kitchen or "home")
    journal = Journal.create(menu, kitchen, Anchor(began, 0.0, "a boot"), cooks_folder())
    journal.append(
        [
            Event(began, "cook_started"),
            Event(began, "began", RINSE),
            Event(began + took_s, "finished", RINSE),
        ]
    )
    journal.end(began + took_s)
    journal.close()


def test_own_times_are_offered_taken_planned_with_and_forgotten(capsys):
    def printed(*arguments: str) -> str:
        assert main(list(arguments)) == 0
        return capsys.readouterr().out

    written = load_menu("harbour-supper").step(RINSE).duration.likely_s
    assert "Nothing is known of your own times" in printed("learned")
    for day in range(3):
        rinsed_in(written + 400, day)
    # Three evenings against the written time that counts as two.
    learned = written + 400 * 3 / 5
    assert printed("learned").startswith(f"offered  {RINSE}: ")
    assert "Learned from your evenings: rinse the rice, " in printed("plan")
    assert "in_use" in printed("plan", "--json")
    assert printed("learned", "--accept", RINSE).startswith(f"in use   {RINSE}: ")
    plan = json.loads(printed("plan", "--json"))
    slot = next(slot for slot in plan["steps"] if slot["step"] == RINSE)
    start, end = (datetime.fromisoformat(slot[side]) for side in ("start", "end"))
    assert (end - start).total_seconds() == pytest.approx(learned, abs=10)
    assert "Planned with your own times: rinse the rice, " in printed("plan", "--clock", "18:00")
    assert printed("learned", "--forget", "all").startswith(f"offered  {RINSE}: ")
    assert "Planned with your own times" not in printed("plan")


def test_a_simulated_cook_keeps_none_of_its_times(capsys, monkeypatch, served):
    accepted_before = accepted()
    typed(monkeypatch, b"use my times\n")
    for day in range(3):
        rinsed_in(900, day)
    assert main(["cook", "--typed", "--clock", "18:00"]) == 0
    assert "I have learned no times of yours yet." in capsys.readouterr().out
    assert accepted() == accepted_before == ()


def test_dishes_are_put_together(capsys):
    assert main(["plan", "green-beans", "white-rice", "--clock", "18:00", "--at", "20:00"]) == 0
    text = capsys.readouterr().out
    assert "Green beans" in text
    assert "Plain white rice" in text
    assert "20:00  service" in text


@pytest.mark.parametrize(
    ("clock", "at", "told"), [("18:00", "17:00", True), ("09:00", "23:00", False)]
)
def test_a_time_that_is_past_is_tomorrows_and_that_is_said(clock, at, told, capsys):
    assert main(["plan", "--clock", clock, "--at", at]) == 0
    out, err = capsys.readouterr()
    assert f"Service at {at}" in out
    assert err == (f"hobside: {at} is past today; this is for tomorrow\n" if told else "")


def test_hearing_tells_each_file_in_turn(capsys, tmp_path):
    (tmp_path / "no sound.wav").write_text("nothing")
    files = [str(tmp_path / "no sound.wav"), str(tmp_path / "missing.wav")]
    assert main(["hear", *files]) == 1
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [line["file"] for line in lines] == files
    assert all("error" in line for line in lines)


PIZZAS = """
nlu:
- intent: order
  examples: |
    - a [large](size) pizza please
    - 寿司
- lookup: size
  examples: |
    - small
stories: []
"""


def test_hearing_by_somebody_elses_phrase_book(capsys, tmp_path):
    (tmp_path / "pizzas.yml").write_text(PIZZAS, encoding="utf-8")
    said = str(written(tmp_path / "said.wav", spoken("a small pizza please")))
    gone = str(tmp_path / "gone.wav")
    book = str(tmp_path / "pizzas.yml")
    assert main(["hear", "--engine", "sphinx", "--phrase-book", book, gone, said]) == 0
    out, err = capsys.readouterr()
    first, second = map(json.loads, out.splitlines())
    assert first["error"].startswith(gone)
    assert second["text"] == "a small pizza please"
    assert err.splitlines() == [
        f"hobside: {book}: only `nlu` is read; left out: `stories`",
        "hobside: cannot be pronounced, so not heard: 寿司",
    ]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("nlu: [", "correct the YAML"),
        ("", "not one example"),
        (PIZZAS[:40] + "- 寿司", "pronounced"),
    ],
)
def test_a_phrase_book_that_cannot_be_heard_by(content, says, capsys, tmp_path):
    (tmp_path / "book.yml").write_text(content, encoding="utf-8")
    assert main(["hear", "--phrase-book", str(tmp_path / "book.yml"), "a.wav"]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("hobside: ")
    assert err.count("\n") == 1
    assert says in err


def test_understanding_tells_each_line_in_turn(served, capsys, monkeypatch):
    typed(monkeypatch, "\nconvert 400 g to ounces\nich möchte kürzen\n\xff".encode("latin-1"))
    assert main(["understand"]) == 0
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [("error" in line) for line in lines] == [True, False, True, True]
    assert lines[1] == {
        "text": "convert 400 g to ounces",
        "intent": "convert",
        "confidence": 1.0,
        "amounts": [
            {"text": "400 g", "value": 400.0, "high": None, "unit": "gram", "kind": "mass"},
            {"text": "ounces", "value": None, "high": None, "unit": "ounce", "kind": "mass"},
        ],
        "refs": [],
    }


@pytest.mark.parametrize(("written", "status"), [(b"", 0), (b"\n\n", 1)])
def test_understanding_nothing(served, capsys, monkeypatch, written, status):
    typed(monkeypatch, written)
    assert main(["understand"]) == status


def test_one_question(served, capsys):
    assert main(["ask", "convert 400 g to ounces", "--clock", "18:00"]) == 0
    assert capsys.readouterr() == ("400 g = 14.1 oz\n", "")


def test_without_a_model_it_says_which_and_how_to_get_it(capsys, monkeypatch, tmp_path):
    from assistant import intent_server
    from assistant.training import Places

    nowhere = Places(models=tmp_path)

    class Untrained(IntentServer):
        def __init__(self, on_change=None):
            super().__init__(nowhere, on_change)

    for module in (running, wiring):
        monkeypatch.setattr(module, "IntentServer", Untrained)
    typed(monkeypatch, b"what now\n")
    assert main(["understand"]) == 1
    assert intent_server.GET in capsys.readouterr().err
    typed(monkeypatch, b"convert 400 g to ounces\nmight one enquire after the pudding\n")
    assert main(["cook", "--clock", "18:00"]) == 0
    out = capsys.readouterr().out
    assert f"; {intent_server.GET}. Until then I know only the plainest commands." in out
    assert "400 g = 14.1 oz" in out
    assert "Just now I know only the plainest commands." in out
