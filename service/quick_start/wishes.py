"""What the farm wants, from the tenth question."""

from service.quick_start.answers import Answers
from service.quick_start.draft import Draft
from service.quick_start.steps import WISHES

NOT_SURE = ("less_money", "drier_animals")


def order_of(answers: Answers, group: str) -> list[dict[str, str]]:
    """Return what the farm wants first, each with the figure that shows it.

    Parameters
    ----------
    answers : Answers
        What was answered.
    group : str
        The group whose comfort counts.
    """
    figures = {
        "less_money": "annual_equivalent_cost",
        "less_time": "quantities.minutes.ordinary_day",
        "drier_animals": f"quantities.comfort.{group}.days_in_mud",
        "less_mud": "quantities.acres_damaged.severe",
        "cleaner_creek": "quantities.nutrients_kept_lb.n",
    }
    wanted = answers.get(WISHES, "better") or NOT_SURE
    return [{"wish": wish, "figure": figures[wish]} for wish in wanted]


def say_wishes(draft: Draft, answers: Answers) -> None:
    """Keep what was said of cost-share."""
    without = answers.says_yes(WISHES, "without_cost_share")
    if without:
        draft.note("systems", "You would build without cost-share too; none is counted.")
    elif without is False:
        draft.note("systems", "You would build only with cost-share.")
        draft.need(
            "No cost-share is counted: ask the conservation office for its rate and cap before "
            "anything is signed or begun."
        )
