"""The International Phonetic Alphabet in the phones of PocketSphinx's dictionary.

As eSpeak NG and misaki write English; misaki has capitals of its own for diphthongs.
"""

# In the 39 phones of the CMU Pronouncing Dictionary. Longest first wins; what is not here (stress,
# length) is left out.
_PHONES = {
    **{"aʊ": "AW", "aɪ": "AY", "eɪ": "EY", "oʊ": "OW", "əʊ": "OW", "ɔɪ": "OY", "tʃ": "CH"},
    **{"dʒ": "JH", "eə": "EH R", "ɪə": "IH R", "ʊə": "UH R", "əl": "AH L", "ɜː": "ER"},
    **{"oː": "AO", "ɑ": "AA", "ɒ": "AA", "a": "AE", "æ": "AE", "ʌ": "AH", "ə": "AH", "ɐ": "AH"},
    **{"ɔ": "AO", "ɛ": "EH", "e": "EH", "ɚ": "ER", "ɝ": "ER", "ɪ": "IH", "ᵻ": "IH", "i": "IY"},
    **{"o": "OW", "ʊ": "UH", "u": "UW", "y": "UW", "ø": "ER", "œ": "ER"},
    **{"b": "B", "d": "D", "ð": "DH", "f": "F", "ɡ": "G", "h": "HH", "k": "K", "l": "L"},
    **{"m": "M", "n": "N", "ŋ": "NG", "p": "P", "ɹ": "R", "r": "R", "s": "S", "ʃ": "SH"},
    **{"t": "T", "ɾ": "T", "ʔ": "T", "θ": "TH", "v": "V", "w": "W", "j": "Y", "z": "Z"},
    **{"ɜɹ": "ER", "əɹ": "ER", "A": "EY", "I": "AY", "O": "OW", "Q": "OW", "W": "AW", "Y": "OY"},
    **{"ʤ": "JH", "ʧ": "CH", "ᵊ": "AH"},
    **{"ʒ": "ZH", "x": "K", "ç": "SH", "ɲ": "N Y", "ɫ": "L", "ʎ": "L Y", "β": "V"},
}
_LONGEST = max(map(len, _PHONES))

_STRESS = str.maketrans("", "", "ˈˌ")


def arpabet(ipa: str) -> str:
    """IPA as ARPAbet: "zˈæɐtˌɑːɹ" as "Z AE AH T AA R"."""
    ipa, phones, at = ipa.translate(_STRESS), [], 0
    while at < len(ipa):
        size = next((n for n in range(_LONGEST, 0, -1) if ipa[at : at + n] in _PHONES), 0)
        if size:
            phones.append(_PHONES[ipa[at : at + size]])
        at += size or 1
    return " ".join(phones)
