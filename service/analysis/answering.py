"""From a question to the work that answers it."""

from importlib import import_module

from service.analysis.questions import Question, name_of
from service.analysis.subject import Subject
from service.analysis.work import Work

PLACES = {"plans_within_limits": "plans"}


def prepared(subject: Subject, question: Question) -> Work:
    """Return the work that answers a question.

    Raises
    ------
    InputError
        If the question cannot be asked of this scenario; carries every fault found.
    """
    name = name_of(question)
    module = import_module(f"service.analysis.{PLACES.get(name, name)}")
    return getattr(module, name)(subject, question)
