"""Words that no dictionary has are pronounced in the recogniser's phones."""

from pathlib import Path

import pocketsphinx

from assistant.pronounce import pronunciations

VOWELS = {"AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW"}
CONSONANTS = {
    *("B", "CH", "D", "DH", "F", "G", "HH", "JH", "K", "L", "M", "N", "NG", "P", "R", "S", "SH"),
    *("T", "TH", "V", "W", "Y", "Z", "ZH"),
}


def test_unusual_ingredients():
    words = ["bulgur", "tzatziki", "za'atar", "gochujang", "crème", "freekeh", "dukkah", "labneh"]
    said = pronunciations(words)
    assert list(said) == words
    for variants in said.values():
        assert variants
        assert all(set(phones.split()) <= VOWELS | CONSONANTS for phones in variants)
    assert "B AH L G ER" in said["bulgur"]
    assert "K R EH M" in said["crème"]


def test_british_and_american():
    assert pronunciations(["basil"])["basil"] == ("B EY Z AH L", "B AE Z AH L")


def test_other_scripts_are_not_guessed_at():
    assert list(pronunciations(["寿司", "мир", "crème"])) == ["crème"]


def test_no_words_ask_nobody():
    assert pronunciations([]) == {}


def test_agrees_with_the_dictionary_on_common_words():
    # The vowels of unstressed syllables and the count of variants differ between the two; the
    # consonants hardly do.
    words = ["butter", "pepper", "tomato", "garlic", "simmer", "minutes", "chicken", "seven"]
    listed = {}
    with Path(pocketsphinx.get_model_path("en-us/cmudict-en-us.dict")).open() as lines:
        for line in lines:
            word, phones = line.split(" ", 1)
            listed.setdefault(word.split("(")[0], []).append(phones.split())
    said = pronunciations(words)
    for word in words:
        ours = [p for p in said[word][0].split() if p not in VOWELS]
        assert ours in [[p for p in phones if p not in VOWELS] for phones in listed[word]]
