"""A Rasa featurizer: the meaning of a whole wording as a vector.

It knows that "food's up when?" and "when do we eat?" are alike, which the counts of words and
letters do not show. Runs in Rasa's environment, so it must not import from the assistant.
"""

import re
from typing import Any

import numpy as np
from rasa.engine.graph import ExecutionContext, GraphComponent
from rasa.engine.recipes.default_recipe import DefaultV1Recipe
from rasa.engine.storage.resource import Resource
from rasa.engine.storage.storage import ModelStorage
from rasa.nlu.featurizers.dense_featurizer.dense_featurizer import DenseFeaturizer
from rasa.shared.exceptions import InvalidConfigException
from rasa.shared.nlu.constants import FEATURE_TYPE_SENTENCE, TEXT
from rasa.shared.nlu.training_data.features import Features
from rasa.shared.nlu.training_data.message import Message
from rasa.shared.nlu.training_data.training_data import TrainingData
from sentence_model import SentenceModel

# The sentence model never met the masks, so it reads a typical thing or amount in their place.
READ_AS = {
    "xthing": "rice",
    "xmass": "400 grams",
    "xvolume": "two cups",
    "xduration": "ten minutes",
    "xclock": "seven o'clock",
    "xcount": "six",
    "xunit": "ounces",
    "xtemperature": "180 degrees",
    "xlength": "20 centimetres",
}
_MASK = re.compile("|".join(READ_AS))


@DefaultV1Recipe.register(DefaultV1Recipe.ComponentType.MESSAGE_FEATURIZER, is_trainable=False)
class SentenceVectors(DenseFeaturizer, GraphComponent):
    """Adds a dense feature of length `weight` to every message.

    weight: how much the vector counts against the counts of words and letters.
    """

    @classmethod
    def create(
        cls,
        config: dict[str, Any],
        model_storage: ModelStorage,
        resource: Resource,
        execution_context: ExecutionContext,
    ) -> "SentenceVectors":
        return cls(execution_context.node_name, config)

    @staticmethod
    def get_default_config() -> dict[str, Any]:
        return {**DenseFeaturizer.get_default_config(), "weight": 6.0}

    @classmethod
    def validate_config(cls, config: dict[str, Any]) -> None:
        if config["weight"] <= 0:
            raise InvalidConfigException("the weight of SentenceVectors must be above 0")

    def __init__(self, name: str, config: dict[str, Any]) -> None:
        super().__init__(name, config)
        self._model = SentenceModel()

    def process(self, messages: list[Message]) -> list[Message]:
        written = [message for message in messages if message.get(TEXT)]
        read = [_MASK.sub(lambda mask: READ_AS[mask[0]], m.get(TEXT)) for m in written]
        for message, vector in zip(written, self._model.vectors(read), strict=True):
            row = self._config["weight"] * vector[np.newaxis]
            message.add_features(Features(row, FEATURE_TYPE_SENTENCE, TEXT, self._identifier))
        return messages

    def process_training_data(self, training_data: TrainingData) -> TrainingData:
        self.process(training_data.training_examples)
        return training_data
