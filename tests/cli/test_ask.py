"""The ten questions on the command line, as a person answers them one by one."""

import json

import pytest
from typer.testing import CliRunner

from service.cli.commands import app
from service.cli.interview import Interview, prompts
from service.quick_start import filled, questions, three_guesses
from service.quick_start.catalog import catalog
from service.web.reading import scenario_of
from tests.quick_start.answering import WHETSTONE

WIDE = {"COLUMNS": "200"}
DAYS = ("frozen", "snow", "firm", "soft")
TYPED = {
    "animals.cow_size": "2",
    "young.first_calf": "early March",
    "young.most_calves": "Early may",
    "young.first_lamb": "early_april",
    "season.hay_starts": "Dec 1",
    "season.grass_takes_over": "April 11",
    "feeding.picture": "1",
    "feeding.same_place": "y",
    "hay.bale_weight": "1,050",
    "hay.price_per_bale": "$51",
    "hay.kept": "on the grass",
    "wishes.better": "1, drier animals",
    "wishes.without_cost_share": "N",
}
"""What a person would type where the demo's answers have a key."""


def run(text, *more):
    return CliRunner().invoke(app, ["ask", *more], input=text, env=WIDE)


class Person:
    """Answers by path; Enter to all that is not known."""

    def __init__(self, answers):
        self.answers, self.said, self.seen = dict(answers), [], []
        self.interview = Interview(self.hear, self.said.append)

    def hear(self, shown):
        """Answer what is asked: the interview tells which prompt it is by its words."""
        self.seen.append(shown)
        prompt = next(one for one in prompts() if self._is(one, shown))
        text = self.answers.get(prompt.path, "")
        return text if isinstance(text, str) else next(text, "")

    def _is(self, prompt, shown):
        before = f"Field {prompt.field_number}: " if prompt.field_number else ""
        ask = f"  {before}{prompt.part['ask']}"
        return shown.startswith((f"{ask}\n", f"{ask} ("))

    @property
    def lines(self):
        """All that was said beside the prompts."""
        return "\n".join(self.said)


def by_path(answers):
    found = {}
    for question, parts in answers.items():
        for part, value in parts.items():
            path = f"{question}.{part}"
            if part == "fields":
                for number, one in enumerate(value, start=1):
                    found |= {f"{path}.{number}.{key}": str(text) for key, text in one.items()}
            else:
                found[path] = ",".join(value) if isinstance(value, list) else str(value)
    return found


def test_the_answers_of_the_demo_one_by_one_are_those_of_a_file():
    person = Person(by_path(WHETSTONE) | TYPED)
    answers = person.interview.held()
    assert filled(answers, scenario_of) == filled(WHETSTONE, scenario_of)


def test_enter_to_everything_is_nothing_answered():
    result = run("\n" * 100)
    assert result.exit_code == 0, result.stderr
    quick_start = filled({}, scenario_of)
    assert f"We guessed {len(quick_start.guessed)} things for you." in result.stdout
    for question in questions():
        assert question["ask"] in result.stderr
    assert result.stderr.count("[not sure]") > 30


def test_at_the_end_stand_the_table_the_guesses_and_the_three_that_matter(tmp_path):
    file = tmp_path / "answers.json"
    file.write_text(json.dumps(WHETSTONE))
    result = run("", "--answers", str(file))
    assert result.exit_code == 0, result.stderr
    quick_start = filled(WHETSTONE, scenario_of)
    words = " ".join(result.stdout.split())
    places = [words.index("Year, all told")]
    places.append(words.index(f"We guessed {len(quick_start.guessed)} things for you."))
    for guess in quick_start.guessed:
        assert " ".join(guess["sentence"].split()) in words
    three = three_guesses(quick_start, scenario_of)
    places += [words.index(guess["find_out"]) for guess in three]
    assert places == sorted(places)
    for said in (*quick_start.needs, *[system["why"] for system in quick_start.systems]):
        assert said in words


def test_the_document_that_is_written_costs_as_it_is(tmp_path):
    file = tmp_path / "farm.json"
    asked = run("62\n", "--json", str(file))
    assert asked.exit_code == 0
    assert json.loads(file.read_text())["herd"]["cows"]["head"] == 62
    costed = CliRunner().invoke(app, ["cost", str(file)], env=WIDE)
    assert costed.exit_code == 0
    row = next(line for line in costed.stdout.splitlines() if line.startswith("Year, all told"))
    assert row in asked.stdout


def test_the_table_goes_to_standard_output_and_the_questions_do_not():
    result = run("62\n")
    assert "1 of 10" in result.stderr
    assert "1 of 10" not in result.stdout
    assert "Year, all told" in result.stdout


def test_what_is_wrong_is_told_and_asked_again():
    result = run("many\n-3\n62.5\n1,5\n62\n")
    told = result.stderr.partition("2 of 10")[0]
    for words in ("'many' is no number", "-3 is out of range", "whole number", "decimal point"):
        assert words in told
    assert told.count("Cows (") == 5
    assert "62 cows" in result.stdout


def test_a_choice_that_is_not_there_is_answered_with_the_nearest():
    person = Person({"hay.look": iter(["leefy", "leafy"])})
    answers = person.interview.held()
    assert answers["hay"]["look"] == "leafy"
    assert "did you mean leafy" in person.lines


def test_a_question_mark_says_why_it_is_asked_and_what_is_usual():
    person = Person({"animals.cows": iter(["?", "30"]), "young.first_calf": iter(["?", ""])})
    person.interview.held()
    assert catalog()["animals"].why in person.lines
    assert catalog()["animals"].if_not_sure in person.lines
    assert "early January, late January, early February" in person.lines


def test_one_can_go_back_and_enter_keeps_what_was_answered():
    person = Person(
        {
            "animals.cows": iter(["<", "62", "", "40"]),
            "animals.first_calf_heifers": iter(["<", "<", "9"]),
        }
    )
    answers = person.interview.held()
    assert answers["animals"]["cows"] == 40
    assert answers["animals"]["first_calf_heifers"] == 9
    assert any("[62]" in shown for shown in person.seen)


def test_an_answer_can_be_taken_back():
    person = Person(
        {
            "animals.cows": iter(["62", "not sure"]),
            "animals.first_calf_heifers": iter(["<", "9"]),
        }
    )
    answers = person.interview.held()
    assert answers["animals"] == {**answers["animals"], "cows": None, "first_calf_heifers": 9}


def test_days_that_do_not_add_up_are_told_and_the_question_is_asked_again():
    person = Person(
        {
            "ground.frozen": "1",
            "ground.snow": "1",
            "ground.firm": "4",
            "ground.soft": iter(["5", "4"]),
        }
    )
    answers = person.interview.held()
    assert "11 days; they must add to ten" in person.lines
    assert answers["ground"]["soft"] == 4
    assert sum("Frozen hard" in shown for shown in person.seen) == 2


def test_nobody_is_asked_of_animals_that_are_not_there():
    cattle = Person({"animals.cows": "40"})
    cattle.interview.held()
    shown = "\n".join(cattle.seen)
    assert "lamb" not in shown
    assert "Racks for sheep" not in shown
    sheep = Person({"animals.ewes": "34", "animals.cows": "0"})
    sheep.interview.held()
    shown = "\n".join(sheep.seen)
    assert "calf comes" not in shown
    assert "lamb" in shown
    assert "Your usual ewe" in shown


def test_what_hangs_on_an_answer_that_was_changed_is_dropped():
    person = Person(
        {
            "animals.cow_size": iter(["weighed", "big"]),
            "animals.cow_weight": iter(["1300", "<"]),
            "young.first_calf": iter(["<", ""]),
        }
    )
    answers = person.interview.held()
    assert answers["animals"]["cow_size"] == "big"
    assert "cow_weight" not in answers["animals"]


def test_fields_end_where_one_has_no_name():
    person = Person({"land.fields.1.name": "Ridge", "land.fields.1.acres": "46"})
    answers = person.interview.held()
    assert answers["land"]["fields"][0]["name"] == "Ridge"
    shown = "\n".join(person.seen)
    assert "Field 2: What you call it" in shown
    assert "Field 2: Acres" not in shown
    assert "Field 3" not in shown


def test_whoever_stops_answering_has_the_rest_not_sure():
    result = run("62\n9\n")
    assert result.exit_code == 0
    assert "What was not answered counts as not sure." in result.stderr
    assert "62 cows, 9 bred heifers" in result.stdout


def test_answers_that_still_gainsay_each_other_at_the_end_are_refused():
    person = Person(dict.fromkeys((f"ground.{part}" for part in DAYS), "8"))
    typed: list[str] = []

    def until_asked_again(shown):
        is_second = "Frozen hard" in shown and any("Frozen hard" in one for one in person.seen)
        typed.append(person.hear(shown))
        return None if is_second else typed[-1]

    person.interview.hear = until_asked_again
    person.interview.held()
    result = run("".join(f"{line}\n" for line in typed[:-1]))
    assert result.exit_code == 2
    assert result.stderr.count("32 days; they must add to ten") == 2
    assert result.stdout == ""


@pytest.mark.parametrize("wrapped", [True, False])
def test_answers_come_from_a_file_bare_or_as_the_body_of_a_request(tmp_path, wrapped):
    file = tmp_path / "answers.json"
    answers = {"animals": {"cows": 44}}
    file.write_text(json.dumps({"answers": answers} if wrapped else answers))
    assert "44 cows" in run("", "--answers", str(file)).stdout
    assert "44 cows" in run(file.read_text(), "--answers", "-").stdout


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "not JSON"),
        ("[1]", "must be a map"),
        ('{"animals": {"cow": 3}}', "did you mean cows"),
        ('{"animals": {"cows": -3}}', "out of range"),
    ],
)
def test_a_faulty_file_is_refused_in_words(tmp_path, text, words):
    file = tmp_path / "answers.json"
    file.write_text(text)
    result = run("", "--answers", str(file))
    assert result.exit_code == 2
    assert words in result.stderr
    assert "Traceback" not in result.stderr


def test_a_file_that_is_not_there_or_cannot_be_written_is_told(tmp_path):
    assert run("", "--answers", str(tmp_path / "none.json")).exit_code == 2
    result = run("62\n", "--json", str(tmp_path / "none" / "farm.json"))
    assert result.exit_code == 2
    assert "farm.json" in result.stderr


@pytest.mark.parametrize(
    "name", ["[bold red]x[/]", "\x1b[31mred", "=1+1", "\u202eesrever", "x" * 60]
)
def test_a_name_is_text_on_the_terminal_whatever_it_holds(tmp_path, name):
    file = tmp_path / "answers.json"
    field = {"name": name, "acres": 20, "drains": "well"}
    file.write_text(json.dumps({"land": {"fields": [field], "spare_acres": 5}}))
    result = run("", "--answers", str(file))
    assert result.exit_code == 0, result.stderr
    assert "\x1b" not in result.stdout
    assert "\u202e" not in result.stdout
    plain = name.replace("\x1b", "").replace("\u202e", "")
    assert f"You could spare 5 acres: {plain}" in result.stdout
