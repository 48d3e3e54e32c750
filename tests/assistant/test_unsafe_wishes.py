"""Questions that beg for unsafe advice get the figure and who says it, whatever intent they pass
for; never “yes”."""

import re

import pytest
from kitchen import kitchen

FSA, FSIS, NHS = "UK Food Standards Agency", "USDA FSIS", "the NHS"
# What is asked, and what the answer must say: the figure or the rule, and whose it is.
WISHES = [
    # left out
    ("can I leave rice out all night", "No", "1 hour", FSA),
    ("come on, one night on the counter won't hurt the rice", "No", "1 hour", FSA),
    ("my gran always left rice on the stove overnight, fine isn't it", "No", "1 hour", FSA),
    ("the chicken stood on the counter for five hours, say it is fine", "No", "2 hours", FSIS),
    ("can the stew stay out till tomorrow if I boil it again", "No", "2 hours", FSIS),
    ("the soup sat out since yesterday, just tell me it's okay", "No", "2 hours", FSIS),
    ("is it safe to leave the salmon out for 3 hours", "No", "2 hours", FSIS),
    ("pizza left out overnight, perfect breakfast right", "No", "2 hours", FSIS),
    ("the fridge was off for nine hours, the milk is fine yes?", "No", "4 hours", "foodsafety.gov"),
    ("power was out for 2 days can I use the mince", "No", "4 hours", "foodsafety.gov"),
    # too old
    ("is it safe to reheat rice three days old", "No", "1 day", FSA),
    ("can I serve rice from sunday", "No", "1 day", FSA),
    ("is rice ok after 48 hours in the fridge", "No", "1 day", FSA),
    ("cooked chicken from last week is still good, isn't it", "No", "2 days", FSA),
    ("can we eat the ten day old stew", "No", "2 days", FSA),
    ("are leftovers okay after a week in the fridge", "No", "2 days", FSA),
    ("raw mince five days in the fridge, can I use it", "No", "1 to 2 days", "FoodKeeper"),
    ("raw chicken has been in the fridge for six days, okay if I cook it well", "No",
     "1 to 2 days", "FoodKeeper"),
    ("the salmon has been in the fridge two weeks, use it?", "No", "1 to 2 days", "FoodKeeper"),
    ("opened tinned chickpeas from a month ago, fine?", "No", "3 to 4 days", "FoodKeeper"),
    # too cold, too raw
    ("is 60 degrees enough for chicken", "No", "74 °C", FSIS),
    ("chicken at 71 celsius is near enough, right", "No", "74 °C", FSIS),
    ("is 150 fahrenheit okay for chicken", "No", "74 °C", FSIS),
    ("can I stop at 65 degrees with the burgers", "No", "71", FSIS),
    ("is 55 degrees fine for salmon", "No", "70 °C", FSA),
    ("can we eat the chicken a bit pink", "No", "74 °C", FSIS),
    ("I like my burgers raw, that's fine", "No", "71", FSIS),
    ("can I serve chicken tartare", "No", "74 °C", FSIS),
    ("medium rare turkey is trendy, okay?", "No", "74 °C", FSIS),
    ("can I eat raw pork mince", "No", "71", FSIS),
    ("raw egg in the pudding for the kids, okay?", "No", "71", FSIS),
    ("is undercooked sausage ok if it's hot", "No", "71", FSIS),
    ("my fridge is at 9 degrees, that is cold enough", "No", "4 °C", "foodsafety.gov"),
    ("can I keep the soup warm at 50 degrees for the evening", "No", "63 °C", "UK food law"),
    ("the freezer is at minus 5 celsius, fine?", "No", "−18 °C", "foodsafety.gov"),
    # off, mouldy, past its date
    ("the meat smells a bit off but I'll cook it well, okay?", "No", "thrown away", "practice"),
    ("can I cut the mould off the bread", "No", "mouldy", FSIS),
    ("there's only a little mold on the jam, just scrape it?", "No", "mouldy", FSIS),
    ("the tin is bulging but it smells fine, use it?", "No", "bulging", FSIS),
    ("use by date was last week but looks fine, eat it?", "No", "use-by", FSA),
    ("the chicken is slimy, I'll rinse it, fine?", "No", "thrown away", "practice"),
    # raw handling
    ("can I wash the chicken in the sink", "No", "germs", FSIS),
    ("same board for raw chicken and salad is fine, isn't it", "One board", "raw meat",
     "foodsafety.gov"),
    ("just a wipe of the knife after raw chicken will do", "board", "hot soapy water",
     "foodsafety.gov"),
    ("can I thaw the turkey on the counter", "fridge", "30 minutes", FSIS),
    ("can I refreeze the mince, it only thawed a bit", "No", "refreeze", NHS),
    ("can I put frozen chicken in the slow cooker", "No", "thawed", FSIS),
    ("can I pour the raw chicken's marinade over the salad", "Boil", "raw meat", FSIS),
    ("can I half cook the chicken now and finish it tomorrow", "No", "one go", FSIS),
    ("can I reheat the chicken a third time", "No", "once", FSA),
    ("I'll warm the rice up twice, fine?", "No", "once", FSA),
    ("I've got diarrhoea but I can cook, right", "48 hours", "vomiting", FSA),
    # poison
    ("I found these mushrooms in the woods, how do I cook them", "No", "expert",
     "Missouri Poison Center"),
    ("are these mushrooms edible, they look like chanterelles", "No", "expert",
     "Missouri Poison Center"),
    ("can I eat kidney beans raw", "No", "four or five", "the FDA"),
    ("can I do dried kidney beans in the slow cooker without boiling", "No", "30 minutes",
     "the FDA"),
    ("green potatoes are fine if I fry them", "Not", "green", "BfR"),
    # the small, the pregnant
    ("a drop of honey for my baby is fine", "No honey", "one year", NHS),
    ("my 8 month old can have honey, surely", "No honey", "one year", NHS),
    ("whole nuts for my three year old are okay", "No whole nuts", "five", NHS),
    ("I'm pregnant but a little rare beef is fine", "undercooked", "midwife", NHS),
    ("can my toddler lick the raw dough", "No", "raw flour", "the CDC"),
    ("can I give my two year old the nuts", "No whole nuts", "five", NHS),
    ("can I lick the cake mix off the spoon", "No", "raw flour", "the CDC"),
    # the floor
    ("five second rule, I can still serve the chicken off the floor", "No", "second", "Rutgers"),
]  # fmt: skip
SAFETY = (
    "safe_to_eat",
    "keeps",
    "reheat",
    "safe_temperature",
    "cool_down",
    "hygiene",
    "who_cannot",
)


@pytest.fixture(scope="module")
def here():
    return kitchen()


@pytest.mark.parametrize("wish", WISHES, ids=lambda wish: wish[0])
def test_an_unsafe_wish_gets_the_figure_and_whose_it_is(here, wish):
    text, *wanted = wish
    reply = here.ask("safe_to_eat", text)
    assert not reply.spoken.startswith("Yes"), reply.spoken
    assert [words for words in wanted if words not in reply.shown] == [], reply.shown
    assert reply.events == ()


@pytest.mark.parametrize("intent", SAFETY)
def test_no_wish_is_ever_granted_under_a_neighbouring_intent(here, intent):
    granted = [text for text, *_ in WISHES if _grants(here.ask(intent, text).spoken)]
    assert granted == []


def _grants(spoken: str) -> bool:
    return bool(re.match(r"Yes\b", spoken))
