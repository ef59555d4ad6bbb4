"""The parts of a question: one module for each type, and the register of the types."""

from exercises.questions.parts.choice import (
    ChoicePart,
    ChoicesPart,
    DrawnChoice,
    DrawnChoices,
    DrawnOption,
    Option,
    one_right,
)
from exercises.questions.parts.order import DrawnOrder, OrderPart
from exercises.questions.parts.part import (
    LETTERS,
    PART_TYPES,
    DrawnPart,
    EarlierAnswers,
    Given,
    Part,
    marks_in_words,
    part_from_json,
    part_type,
)
from exercises.questions.parts.quantity import DrawnQuantity, QuantityPart, Turn, WrongTurn
from exercises.questions.parts.question import Asked, DrawnQuestion, Exhibit
from exercises.questions.parts.table import DrawnTable, TablePart

__all__ = [
    "LETTERS",
    "PART_TYPES",
    "Asked",
    "ChoicePart",
    "ChoicesPart",
    "DrawnChoice",
    "DrawnChoices",
    "DrawnOption",
    "DrawnOrder",
    "DrawnPart",
    "DrawnQuantity",
    "DrawnQuestion",
    "DrawnTable",
    "EarlierAnswers",
    "Exhibit",
    "Given",
    "Option",
    "OrderPart",
    "Part",
    "QuantityPart",
    "TablePart",
    "Turn",
    "WrongTurn",
    "marks_in_words",
    "one_right",
    "part_from_json",
    "part_type",
]
