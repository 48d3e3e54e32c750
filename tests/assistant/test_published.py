"""Words are said as dictionaries print them, on both sides of the Atlantic."""

import pocketsphinx
import pytest
import yaml

from assistant.published import SPOKEN_WORDS, published, unaccented


@pytest.mark.parametrize(
    ("word", "american", "british"),
    [
        # Cambridge Dictionary's American and British: təˈmeɪ.t̬oʊ təˈmɑː.təʊ, ɝːb hɜːb,
        # əˈreɡ.ə.noʊ ˌɒr.ɪˈɡɑː.nəʊ, skoʊn skɒn, ˈzʊk.i.ni kɔːˈʒet.
        ("tomato", "T AH M EY T OW", "T AH M AA T OW"),
        ("herbs", "ER B Z", "HH ER B Z"),
        ("oregano", "ER EH G AH N OW", "AA R IH G AA N OW"),
        ("scone", "S K OW N", "S K AA N"),
        ("courgette", "K UH R ZH EH T", "K AO ZH EH T"),
    ],
)
def test_both_ways_of_speaking(word, american, british):
    assert {american, british} <= set(published([word])[word])


# From a guide to foods that are often mispronounced, by the Oxford English Dictionary with a
# grocer (2017); in brackets its respelling, where it is not ours to read otherwise.
MISPRONOUNCED = {
    "edamame": "EH D AH M AA M EY",
    "acai": "AH S AY IY",
    "manchego": "M AE N CH EY G OW",
    "prosciutto": "P R AH SH UW T OW",  # pro-shoot-tow
    "gnocchi": "N Y AA K IY",  # nyohk-kee
    "quinoa": "K IY N W AA",
    "halloumi": "HH AH L UW M IY",
}


@pytest.mark.parametrize("word", MISPRONOUNCED)
def test_foods_that_are_often_mispronounced(word):
    assert MISPRONOUNCED[word] in published([word])[word]


def test_accents_and_endings_that_the_dictionaries_leave_out():
    said = published(["purée", "gruyere", "courgettes", "oven's", "scones", "radishes'"])
    assert "P Y UH R EY" in said["purée"]
    assert said["gruyere"] == ("G R UW Y EH R",)
    assert "K AO ZH EH T S" in said["courgettes"]
    assert "AH V AH N Z" in said["oven's"]
    assert "S K AA N Z" in said["scones"]


def test_what_nobody_prints_has_none():
    assert published(["qwxz", "寿司"]) == {"qwxz": (), "寿司": ()}
    assert unaccented("jalapeño") == "jalapeno"


def test_our_own_list_is_in_the_recognisers_phones(tmp_path):
    lines = [
        f"{unaccented(word)}{number} {phones}\n"
        for word, said in yaml.safe_load(SPOKEN_WORDS.read_text(encoding="utf-8")).items()
        for number, phones in enumerate(said)
    ]
    (tmp_path / "our.dict").write_text("".join(lines))
    decoder = pocketsphinx.Decoder(
        dict=str(tmp_path / "our.dict"), lm=None, loglevel="FATAL", keyphrase="scone0"
    )
    assert all(decoder.lookup_word(line.split(" ")[0]) for line in lines)
