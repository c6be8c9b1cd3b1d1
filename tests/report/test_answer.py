import pytest

from tests.report import samples
from tipvision.record.reading import Reading
from tipvision.report.answer import answer, findings, heeded, photo_name, plug_words


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("read", "Dry black (carbon fouled): 93\u00a0% sure"),
        ("unclear", "Cannot tell: dry black or wet black"),
        ("gated", "Cannot be sure: it looks like dry black"),
        (
            "only findings",
            "One side dark or a soot ring (no fouling or heat condition fits): 88\u00a0% sure",
        ),
        ("several", "Cannot tell from this photo"),
        ("not found", "Cannot tell from this photo"),
        ("not a plug", "No spark plug found"),
        ("unreadable", "Could not be opened"),
    ],
)
def test_the_answer_in_plain_words(name: str, sentence: str) -> None:
    assert answer(samples.ALL[name]).sentence == sentence


@pytest.mark.parametrize("name", [n for n, r in samples.ALL.items() if r.outcome != "read"])
def test_no_certainty_is_given_where_nothing_was_answered(name: str) -> None:
    said = answer(samples.ALL[name])
    assert said.sure == "" and said.number == ""


def test_findings_that_stand_leave_out_the_improbable_and_the_unjudged() -> None:
    assert findings(samples.READ) == [("one side dark or a soot ring", 0.71)]


@pytest.mark.parametrize(
    ("path", "name"),
    [
        ("/home/somebody/TB-07.jpg", "TB-07.jpg"),
        ("C:\\Users\\somebody\\TB-07.jpg", "TB-07.jpg"),
        ("\\\\server\\share\\TB-07.jpg", "TB-07.jpg"),
        ("TB-07.jpg", "TB-07.jpg"),
        ("-", "photo from standard input"),
        ("folder/", "photo without a name"),
        ("a\x1b]0;b.jpg", "a?]0;b.jpg"),
    ],
)
def test_photo_name_is_the_base_name(path: str, name: str) -> None:
    assert photo_name(Reading(path, "unreadable")) == name


def test_plug_words() -> None:
    assert plug_words(samples.READ) is None
    assert plug_words(samples.SEVERAL) == "2 plugs"
    assert plug_words(Reading("a", "read", plug=(2, 4))) == "plug 2 of 4"


def test_cautions_of_a_check_are_named_by_their_number_in_the_report() -> None:
    said = [heeded(check, samples.EXPLANATION.cautions) for check in samples.EXPLANATION.checks]
    assert said == ["", "", "cautions 2 and 3"]
