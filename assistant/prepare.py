"""What the set-up makes ready once, so that the first start is as quick as those after it."""

from assistant.models import installed
from assistant.moonshine import Moonshine
from assistant.speak_piper_halves import cut_once
from domain.errors import MissingModel


def main() -> None:
    """Remake the network that hears and cut the voice that speaks, into the user's cache.

    Where there is no such network for the platform, that is printed, and hearing goes without.
    """
    try:
        Moonshine()
    except MissingModel:
        print("There is no second recogniser for this platform: PocketSphinx hears alone.")
    cut_once(installed("en_US-joe-medium")[0])


if __name__ == "__main__":
    main()
