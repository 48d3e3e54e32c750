"""One turn of talk, the same for voice and chat: words in, a reply out.

Order of a turn: emergency, stop, an answer to our own question, a correction, a follow-up,
then the intent's answer. Nothing here hears, speaks or stores.
"""

import re
from collections.abc import Callable
from dataclasses import replace

from assistant.answer import ANSWERS
from assistant.answer_emergency import emergency
from assistant.answer_reports import gate_said
from assistant.meaning import Ref, Understood
from assistant.number_words import no_number
from assistant.reply import Question, Reply
from assistant.scene import Context, Scene
from assistant.two_requests import requests
from scheduling.events import Event

# Below this an utterance that would change the plan is read back first.
SURE_ENOUGH_TO_ACT = 0.5
# Words that were not said to us beyond doubt are taken for noise or other talk when they were
# heard less surely than this, or when hearing and understanding together are less sure than that.
# What is plain in its meaning, or expected just now, is heeded at less; what would change the plan
# is then read back. Of 64 commands by eight voices 46 were rightly understood, 37 of them pass;
# of 20 minutes of other speech (269 utterances) three to four do. At 0.5 in hearing one would, and
# only 20 of the commands.
SURE_ENOUGH_TO_HEAR, SURE_IN_ALL, PLAINLY_HEARD = 0.3, 0.2, 0.1
# Below this nothing was heard at all, whoever it was said to.
HARDLY_HEARD = 0.03
# What means nothing to us is talk among others, unless it was heard as surely as this: of 107
# lines of table talk eight meant nothing and were heard at 0.5, two of them at 0.8.
SURE_OF_NO_MEANING = 0.8
PLAIN_MEANING = 0.95
EXPECTED = frozenset({"report_done", "report_gate", "what_next", "again", "yes", "no"})
FOLLOW_UP = re.compile(r"^(?:and|but|or|so)?\s*(?:what about|how about|and|and for|for)\b", re.I)
TALK = frozenset({"again", "more", "slower", "faster", "louder", "softer", "shorter", "thanks"})

Understand = Callable[[str, Scene], Understood]
Describe = Callable[[str], str]


class Conversation:
    """The talk of one kitchen: keeps the context, and the question it has asked, if any.

    describe: an intent in a few words, for asking back. heard: what the last turn meant.
    """

    def __init__(self, understand: Understand, describe: Describe) -> None:
        self._understand, self._describe = understand, describe
        self._question: Question | None = None
        self.context = Context()
        self.heard: Understood | None = None

    @property
    def asks(self) -> bool:
        """Whether a question of ours waits for its answer."""
        return self._question is not None

    def requests(self, text: str, scene: Scene) -> tuple[str, ...]:
        """What is asked in one breath, one after the other; an answer to us is one thing."""
        if self.asks:
            return (text,)
        scene = replace(scene, context=self.context.faded(scene.now))
        return requests(text, lambda part: self._understand(part, scene))

    def turn(
        self, text: str, scene: Scene, heard_confidence: float = 1.0, addressed: bool = False
    ) -> Reply:
        """Answer `text`; to what was hardly heard an empty reply, unless it was said to us.

        The caller stores `Reply.events` and passes their numbers to `stored`.
        """
        self.context = self.context.faded(scene.now)
        scene = replace(scene, context=self.context)
        ask = self._understand(text, scene)
        if ask.by == "emergency":
            # Words of danger count however badly they are heard; what the model guesses to be
            # danger, in other words, counts only where the words are sure to have been said.
            guessed = ask.confidence < 1.0
            if guessed and not addressed and heard_confidence < SURE_ENOUGH_TO_HEAR:
                return Reply("")
            return self._finish(ask, emergency(ask, scene), scene)
        ask = _gate(ask, scene) or ask
        if not for_us(ask, heard_confidence, addressed=addressed, asked=self.asks):
            self.heard = None
            return Reply("Sorry, I did not hear that." if addressed else "")
        ask = self._settle_question(ask) or self._follow_up(ask) or ask
        return self._finish(ask, self._answer(ask, scene, heard_confidence), scene)

    def stored(self, seqs: tuple[int, ...]) -> None:
        """Note under which numbers the last reply's events were stored, for corrections."""
        if seqs:
            self.context = replace(self.context, stored=seqs)

    def _answer(self, ask: Understood, scene: Scene, heard_confidence: float) -> Reply:
        if no_number(ask.text):
            return Reply("That is no amount I can work with.")
        if ask.intent is None:
            return ask_back(ask, self._describe)
        if ask.intent == "again":
            return self.context.reply or Reply("I have not said anything yet.")
        if ask.intent == "more":
            return self._more()
        if ask.intent == "correction":
            return self._correct(ask, scene)
        if ask.intent in ("yes", "no"):
            return Reply("Right." if ask.intent == "yes" else "All right.")
        reply = ANSWERS[ask.intent](ask, scene)
        if reply.events and heard_confidence * ask.confidence < SURE_ENOUGH_TO_ACT:
            return confirm(ask, self._describe)
        return reply

    def _more(self) -> Reply:
        last = self.context.reply
        if last is None or not last.more:
            return Reply("There is no more to say about that.")
        return Reply(last.more, shown=last.more_shown)

    def _settle_question(self, ask: Understood) -> Understood | None:
        """What was meant, when `ask` answers the question we asked last."""
        question, self._question = self._question, None
        if question is None:
            return None
        if ask.intent == "yes" and len(question.choices) == 1:
            return question.choices[0][1]
        return question.answered(ask) or question.chosen(ask.text)

    def _follow_up(self, ask: Understood) -> Understood | None:
        """`ask` as the last question asked of another thing ("what about the beans?")."""
        last = self.context.asked
        if last is None or last.intent is None or not FOLLOW_UP.match(ask.text):
            return None
        if ask.amounts and all(amount.value is None for amount in ask.amounts) and not ask.refs:
            return replace(ask, intent="convert", confidence=1.0)
        if ask.refs and ask.confidence < 1.0:
            targets = tuple(amount for amount in last.amounts if amount.value is None)
            amounts = ask.amounts or targets
            return replace(ask, intent=last.intent, confidence=last.confidence, amounts=amounts)
        return None

    def _correct(self, ask: Understood, scene: Scene) -> Reply:
        """The last request again with the corrected amount or thing; its events taken back."""
        last = self.context.asked
        if last is not None and ask.amounts and not last.amounts:
            last = self.context.acted
        if last is None or last.intent not in ANSWERS or not (ask.amounts or ask.refs):
            return Reply("Sorry. Tell me again what you meant.")
        amounts = tuple(
            replace(new, unit=old.unit, kind=old.kind) if new.kind == "count" else new
            for new, old in zip(ask.amounts, last.amounts or ask.amounts, strict=False)
        )
        meant = replace(last, amounts=amounts or last.amounts, refs=ask.refs or last.refs)
        stored = self.context.stored if last is self.context.acted else ()
        reply = ANSWERS[last.intent](meant, scene.without(stored))
        undo = tuple(
            Event(at=scene.now, kind="undone", value=float(seq)) for seq in reversed(stored)
        )
        return replace(reply, events=undo + reply.events) if reply.events else reply

    def _finish(self, ask: Understood, reply: Reply, scene: Scene) -> Reply:
        self._question, self.heard = reply.question, ask
        if ask.intent not in TALK:
            self.context = self.context.after(ask, reply, scene.now)
        return reply


def _gate(ask: Understood, scene: Scene) -> Understood | None:
    """`ask` as the report of a gate that is open now, when it is in the gate's own words."""
    step = gate_said(ask.text, scene)
    if step is None:
        return None
    named = Ref(step.name, "step", step.key, 1.0, 0, len(ask.text))
    return replace(ask, intent="report_gate", confidence=1.0, refs=(named,), by="exact")


def for_us(ask: Understood, confidence: float, *, addressed: bool, asked: bool) -> bool:
    """Whether words heard with this confidence are for us.

    addressed: they are, if any were. asked: we wait for an answer, in whatever words.
    """
    if ask.intent == "stop":
        return True
    if addressed:
        return confidence >= HARDLY_HEARD
    if ask.intent is None:
        return confidence >= (SURE_ENOUGH_TO_ACT if asked else SURE_OF_NO_MEANING)
    if ask.by == "exact" or ask.confidence >= PLAIN_MEANING or ask.intent in EXPECTED:
        return confidence >= PLAINLY_HEARD
    in_all = confidence * ask.confidence
    return confidence >= SURE_ENOUGH_TO_HEAR and in_all >= SURE_IN_ALL


def ask_back(ask: Understood, describe: Describe) -> Reply:
    """One short question with the likely meanings, or an honest "I did not understand"."""
    if ask.by == "none" and any(character.isalnum() for character in ask.text):
        # Nothing was there to ask: the intent server is away.
        return Reply(
            "Just now I know only the plainest commands.",
            more="Try: what now, what next, done, repeat, stop.",
        )
    likely = [(name, p) for name, p in ask.guesses if name in ANSWERS and p >= 0.15][:2]
    if not likely:
        return Reply("Sorry, I did not understand that.", more="Ask me: what can I say?")
    choices = tuple(
        (describe(name), replace(ask, intent=name, confidence=1.0)) for name, _ in likely
    )
    labels = " or ".join(label for label, _ in choices)
    return Reply(f"Did you mean: {labels}?", question=Question(choices))


def confirm(ask: Understood, describe: Describe) -> Reply:
    """Read a plan-changing request back before acting on it."""
    assert ask.intent is not None
    label = describe(ask.intent)
    return Reply(
        f"Did you mean: {label}?",
        question=Question(((label, replace(ask, confidence=1.0)),)),
    )
