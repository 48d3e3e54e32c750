"""One plain wording for what is typed, heard or written in the phrase book.

Both sides of every comparison go through `plain`, so typed and spoken forms look alike.
"""

import re

# Written without their apostrophe too; forms that are other words ("well", "were") are not here.
_CONTRACTED = {
    "ain't": "is not",
    "aren't": "are not",
    "can't": "cannot",
    "couldn't": "could not",
    "didn't": "did not",
    "doesn't": "does not",
    "don't": "do not",
    "hadn't": "had not",
    "hasn't": "has not",
    "haven't": "have not",
    "here's": "here is",
    "how's": "how is",
    "i'm": "i am",
    "i've": "i have",
    "isn't": "is not",
    "it's": "it is",
    "let's": "let us",
    "shouldn't": "should not",
    "that's": "that is",
    "there's": "there is",
    "they're": "they are",
    "they've": "they have",
    "wasn't": "was not",
    "we've": "we have",
    "weren't": "were not",
    "what's": "what is",
    "when's": "when is",
    "where's": "where is",
    "who's": "who is",
    "won't": "will not",
    "wouldn't": "would not",
    "you're": "you are",
    "you've": "you have",
}
_WORDS = (
    {written.replace("'", ""): full for written, full in _CONTRACTED.items()}
    | _CONTRACTED
    | {
        "let's": "let us",
        "wot": "what",
        "gonna": "going to",
        "gotta": "got to",
        "wanna": "want to",
        "gimme": "give me",
        "lemme": "let me",
        "ok": "okay",
        "k": "okay",
        "yeah": "yes",
        "yep": "yes",
        "yup": "yes",
        "nope": "no",
        "thx": "thanks",
        "ta": "thanks",
        "pls": "please",
        "plz": "please",
        "u": "you",
        "r": "are",
        "mins": "minutes",
        "min": "minute",
        "secs": "seconds",
        "hrs": "hours",
        # American spellings to British ones; foods with two names are the knowledge tables' part.
        "gramme": "gram",
        "grammes": "grams",
        "liter": "litre",
        "liters": "litres",
        "milliliter": "millilitre",
        "milliliters": "millilitres",
        "centimeter": "centimetre",
        "centimeters": "centimetres",
        "color": "colour",
        "colored": "coloured",
        "flavor": "flavour",
        "spoiled": "spoilt",
        "burned": "burnt",
        "spilled": "spilt",
        "learned": "learnt",
        "gray": "grey",
        "center": "centre",
        "program": "programme",
        "canceled": "cancelled",
        "caramelize": "caramelise",
        "organize": "organise",
    }
)
_ENDINGS = (
    (re.compile(r"n't\b"), " not"),
    (re.compile(r"'ll\b"), " will"),
    (re.compile(r"'ve\b"), " have"),
    (re.compile(r"'re\b"), " are"),
    (re.compile(r"'m\b"), " am"),
    (re.compile(r"'d\b"), " would"),
    (re.compile(r"'s\b"), " is"),
)
_QUOTES = str.maketrans({"’": "'", "‘": "'", "`": "'", "´": "'", "“": " ", "”": " ", "…": " "})
_NOT_WORDS = re.compile(r"[^\w'°%./:+-]+|(?<!\d)[./:+-]|[./:+-](?!\d)|_+")
_FILLERS = re.compile(
    r"\b(?:please|kindly|um+|uh+|erm*|er|hm+|ah|oh|eh|okay|hey|hi|hello|just|now then|"
    r"you know|i mean|sorry|excuse me|pardon|mate|love|dear|chef)\b"
)
_OPENERS = re.compile(
    r"^(?:(?:right|so|and|then|alright|all right|now|yes|yo|listen)\s+)*"
    r"(?:(?:can|could|would|will) you (?:(?:quickly|maybe|possibly|be able to)\s+)?"
    r"(?:tell (?:me|us)\s+|let me know\s+)?|"
    r"tell me\s+|do you know\s+|i (?:want|need|would like) to know\s+)?"
)
_CLOSERS = re.compile(r"\s+(?:thanks|thank you|cheers|then|mate|will you|would you|for me)$")


def plain(text: str) -> str:
    """Lower case, no punctuation, contractions written out, one spelling for each word."""
    text = text.lower().translate(_QUOTES)
    bare = (word.strip("'") for word in _NOT_WORDS.sub(" ", text).split())
    words = (_WORDS.get(word, word) for word in bare)
    text = " ".join(words)
    for ending, full in _ENDINGS:
        text = ending.sub(full, text)
    return " ".join(text.replace("'", "").replace("can not", "cannot").split())


def exact_key(text: str) -> str:
    """`plain` without politeness and fillers; what is left never becomes empty by stripping."""
    key = plain(text)
    for pattern in (_FILLERS, _OPENERS, _CLOSERS):
        shorter = " ".join(pattern.sub(" ", key).split())
        key = shorter or key
    return key
