"""One turn of talk, the same for voice and chat: words in, a reply out.

Order of a turn: emergency, stop, an answer to our own question, a correction, a follow-up,
then the intent's answer. Nothing here hears, speaks or stores.
"""

import re
from collections.abc import Callable
from dataclasses import replace

from assistant.answer import ANSWERS
from assistant.answer_emergency import emergency, in_case
from assistant.answer_reports import gate_said
from assistant.correcting import corrected
from assistant.emergencies import HARDLY_HEARD, heeded
from assistant.meaning import Ref, Understood
from assistant.number_words import no_number
from assistant.reply import Question, Reply
from assistant.scene import Context, Scene
from assistant.supposing import CHANGING
from assistant.told_deeds import told_done
from assistant.told_reading import told_reading
from assistant.two_requests import requests
from scheduling.events import Event

# Below this an utterance that would change the plan is read back first.
SURE_ENOUGH_TO_ACT = 0.5
# What was overheard, not said to us beyond doubt, is for us when hearing and understanding together
# are so sure, and hearing alone; what is plain in its meaning, or expected just now, at less. What
# means nothing to us is talk among others, however well it was heard.
SURE_ENOUGH_TO_HEAR, SURE_IN_ALL, PLAINLY_HEARD, EXPECTED_HEARD = 0.3, 0.35, 0.25, 0.1
# What would change anything must be so sure in its meaning as well, however well it was heard.
SURE_TO_CHANGE = 0.6
PLAIN_MEANING = 0.95
EXPECTED = frozenset({"report_done", "report_gate", "what_next", "again"})
FOLLOW_UP = re.compile(r"^(?:and|but|or|so)?\s*(?:what about|how about|and|and for|for)\b", re.I)
# What only answers or corrects; "again" and "more" may be the first words after a call of ours.
OF_THE_TALK = frozenset({"correction", "yes", "no", "thanks"})
# "And at half past six?" after these asks whether that can be.
ASKS_FOR_TIMES = frozenset({"can_we", "will_make", "when_eat"})
TALK = frozenset({"again", "more", "slower", "faster", "louder", "softer", "shorter", "thanks"})
# What is said to talk that is not for us.
NOTHING = Reply("")

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
        self._corrected: Understood | None = None  # what the correction in this turn meant

    @property
    def asks(self) -> bool:
        """Whether a question of ours waits for its answer."""
        return self._question is not None

    def requests(self, text: str, scene: Scene) -> tuple[str, ...]:
        """What is asked in one breath, one after the other; an answer to us is one thing."""
        if self.asks:
            return (text,)
        scene = replace(scene, context=self.context.faded(scene.now))
        return requests(text, lambda part: self._meant(part, scene))

    def turn(
        self, text: str, scene: Scene, heard_confidence: float = 1.0, addressed: bool = True
    ) -> Reply:
        """Answer `text`; to what was overheard an empty reply, unless it is surely for us.

        addressed: said to us beyond doubt: typed, by name or after a key.

        The caller stores `Reply.events` and passes their numbers to `stored`.
        """
        self._fade(scene.now)
        scene = replace(scene, context=self.context)
        ask = self._meant(text, scene)
        if ask.by == "emergency":
            return self._heed(ask, scene, heard_confidence, addressed)
        answer = self._settled(ask)
        ask = answer or self._follow_up(ask) or ask
        expected = answer is not None or (self.asks and ask.intent == "no")
        if not for_us(ask, heard_confidence, addressed=addressed, expected=expected):
            nothing = self._nothing()
            return Reply("Sorry, I did not hear that.") if addressed else nothing
        reply = self._answer(ask, scene, heard_confidence, addressed)
        return self._finish(ask, reply, scene) if reply is not NOTHING else self._nothing()

    def _meant(self, text: str, scene: Scene) -> Understood:
        """What `text` means here and now: reports in the words of the steps come first."""
        ask = self._understand(text, scene)
        if ask.by == "emergency" or ask.intent == "stop":
            return ask
        reading = told_reading(ask, scene)
        return reading or _gate(ask, scene) or told_done(ask, scene) or ask

    def _nothing(self) -> Reply:
        """What was said is left alone: nothing was heard."""
        self.heard = None
        return NOTHING

    def _fade(self, now: float) -> None:
        """Let what was said long ago be forgotten, a question of ours as well."""
        faded = self.context.faded(now)
        if faded is not self.context:
            self.context, self._question = faded, None

    def _heed(
        self, ask: Understood, scene: Scene, heard_confidence: float, addressed: bool
    ) -> Reply:
        """Danger: to the cook who tells us of it, or tells of it again, the whole answer."""
        heed = "at once" if addressed else heeded(ask.text, heard_confidence)
        if heed == "not":
            return self._nothing()
        again = self.context.asked is not None and self.context.asked.intent == ask.intent
        answer = emergency if heed == "at once" or again else in_case
        return self._finish(ask, answer(ask, scene), scene)

    def stored(self, seqs: tuple[int, ...]) -> None:
        """Note under which numbers the last reply's events were stored, for corrections."""
        if seqs:
            self.context = replace(self.context, stored=seqs)

    def _answer(
        self, ask: Understood, scene: Scene, heard_confidence: float, addressed: bool
    ) -> Reply:
        if ask.by == "emergency":
            return emergency(ask, scene)
        if no_number(ask.text):
            return Reply("That is no amount I can work with.")
        if ask.intent is None:
            return ask_back(ask, self._describe)
        if ask.intent in OF_THE_TALK and not addressed and self.context.asked is None:
            return NOTHING  # nobody has talked with us
        if ask.intent == "again":
            return self.context.reply or Reply("I have not said anything yet.")
        if ask.intent == "more":
            return self._more()
        if ask.intent == "correction":
            return self._correct(ask, scene)
        if ask.intent in ("yes", "no"):
            return Reply("Right." if ask.intent == "yes" else "All right.")
        reply = ANSWERS[ask.intent](ask, scene)
        changing = _acts(reply) or ask.intent in CHANGING
        if changing and not addressed and ask.confidence < SURE_TO_CHANGE:
            return NOTHING
        if _acts(reply) and heard_confidence * ask.confidence < SURE_ENOUGH_TO_ACT:
            return confirm(ask, self._describe)
        return reply

    def _more(self) -> Reply:
        last = self.context.reply
        if last is None or not last.more:
            return Reply("There is no more to say about that.")
        return Reply(last.more, shown=last.more_shown)

    def _settled(self, ask: Understood) -> Understood | None:
        """What was meant, when `ask` answers the question we asked last."""
        question = self._question
        if question is None or ask.intent in ("stop", "no"):
            return None
        if ask.intent == "yes" and len(question.choices) == 1:
            return question.choices[0][1]
        return question.answered(ask) or question.chosen(ask.text)

    def _follow_up(self, ask: Understood) -> Understood | None:
        """`ask` as the last question asked of another thing ("what about the beans?")."""
        last = self.context.asked
        if last is None or last.intent is None or not FOLLOW_UP.match(ask.text):
            return None
        times = bool(ask.amounts) and all(amount.kind == "clock" for amount in ask.amounts)
        if times and not ask.refs and last.intent in ASKS_FOR_TIMES:
            return replace(ask, intent="can_we", confidence=1.0)
        if ask.amounts and all(amount.value is None for amount in ask.amounts) and not ask.refs:
            return replace(ask, intent="convert", confidence=1.0)
        if ask.refs and ask.confidence < 1.0:
            targets = tuple(amount for amount in last.amounts if amount.value is None)
            amounts = ask.amounts or targets
            return replace(ask, intent=last.intent, confidence=last.confidence, amounts=amounts)
        return None

    def _correct(self, ask: Understood, scene: Scene) -> Reply:
        """The request it reaches back to, with the corrected amount or thing; what that one told
        is taken back."""
        meant = corrected(ask, self.context, scene)
        if isinstance(meant, Reply):
            return meant
        assert meant.intent is not None
        acted = self.context.acted
        taken_back = acted is not None and acted.intent == meant.intent
        stored = self.context.stored if taken_back else ()
        reply = ANSWERS[meant.intent](meant, scene.without(stored))
        undo = tuple(
            Event(at=scene.now, kind="undone", value=float(seq)) for seq in reversed(stored)
        )
        self._corrected = meant
        return replace(reply, events=undo + reply.events) if reply.events else reply

    def _finish(self, ask: Understood, reply: Reply, scene: Scene) -> Reply:
        self._question, self.heard = reply.question, ask
        meant, self._corrected = self._corrected or ask, None
        if ask.intent not in TALK:
            self.context = self.context.after(meant, reply, scene.now)
        return reply


def _gate(ask: Understood, scene: Scene) -> Understood | None:
    """`ask` as the report of a gate that is open now, when it is in the gate's own words."""
    step = gate_said(ask.text, scene)
    if step is None:
        return None
    named = Ref(step.name, "step", step.key, 1.0, 0, len(ask.text))
    return replace(ask, intent="report_gate", confidence=1.0, refs=(named,), by="exact")


def for_us(ask: Understood, confidence: float, *, addressed: bool, expected: bool = False) -> bool:
    """Whether words heard with this confidence are for us.

    addressed: they are, if any were. expected: they answer a question of ours.
    """
    if ask.intent == "stop":
        return True
    if addressed:
        return confidence >= HARDLY_HEARD
    if ask.intent is None:
        return False
    if expected or ask.intent in EXPECTED:
        return confidence >= EXPECTED_HEARD
    if ask.by == "exact" or ask.confidence >= PLAIN_MEANING:
        return confidence >= PLAINLY_HEARD
    in_all = confidence * ask.confidence
    return confidence >= SURE_ENOUGH_TO_HEAR and in_all >= SURE_IN_ALL


def _acts(reply: Reply) -> bool:
    """Whether anything is another way after this reply."""
    return bool(reply.events or reply.settings or reply.learned)


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
