"""The quick start: ten questions in the farmer's words, and a whole scenario from their answers."""

from service.quick_start.catalog import questions
from service.quick_start.filling import QuickStart, filled
from service.quick_start.guesses import three_guesses
from service.quick_start.typed_in import answers_from_text

__all__ = ["QuickStart", "answers_from_text", "filled", "questions", "three_guesses"]
