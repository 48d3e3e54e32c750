"""Questions to the kitchen's knowledge, of a sample menu; amounts are read as the product does."""

from dataclasses import replace
from datetime import datetime
from functools import cache
from types import SimpleNamespace

from assistant import answer_knowledge
from assistant.amounts import find_amounts
from assistant.figures import LONGEST_FIRST
from assistant.reply import Reply
from assistant.understand import Ref, Understood
from domain.cookbook import load_kitchen, load_menu
from domain.kitchen import Kitchen
from domain.menu import Menu
from domain.settings import Settings

MENU = "harbour-supper"
SATURDAY = datetime(2026, 3, 14, 18, 0).timestamp()
METRIC = Settings(units="metric")


def ask(intent: str, text: str, *refs: Ref, settings: Settings = METRIC, menu: str = MENU) -> Reply:
    """The answer; its first sentence is short enough to hear, and it only answers."""
    loaded, home = loaded_menu(menu)
    scene = SimpleNamespace(menu=loaded, kitchen=home, settings=settings, now=SATURDAY)
    amounts = find_amounts(text, settings.units or "metric", None)
    understood = Understood(text, intent, 1.0, amounts, refs)
    reply = getattr(answer_knowledge, f"answer_{intent}")(understood, scene)
    assert len(first_sentence(reply.spoken).split()) <= LONGEST_FIRST, reply.spoken
    assert reply.events == ()
    return reply


@cache
def loaded_menu(name: str) -> tuple[Menu, Kitchen]:
    return load_menu(name), load_kitchen("home")


def first_sentence(text: str) -> str:
    return text.split(". ")[0]


def us(**others: object) -> Settings:
    return replace(Settings(units="us", foods="us"), **others)


def named(kind: str, name: str, text: str, words: str) -> Ref:
    """A reference to `words` where they stand in the utterance."""
    start = text.index(words)
    return Ref(words, kind, name, 1.0, start, start + len(words))
