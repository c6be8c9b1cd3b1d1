from tipvision.batch.views import odd_words as module
from tipvision.batch.views.odd_words import odd_words

SET = {"machine": "SX-01", "folder": "SX-01/may", "odd": [], "uneven": False, "photos": {}}


def test_each_set_is_a_sentence_with_the_address_of_its_machine() -> None:
    one = {"cylinder": 2, "by": ["colour", "condition"]}
    sets = [
        SET | {"odd": [one]},
        SET | {"folder": "SX-01", "odd": [one, {"cylinder": 3, "by": ["colour"]}]},
        SET | {"folder": "", "uneven": True, "machine": "\u202eQD"},
    ]
    assert odd_words({"odd_plugs": sets}, "") == (
        (
            "SX-01 (SX-01/may): cylinder 2 by colour and condition stands apart.",
            "#machine=%3DSX-01&sort=machine",
        ),
        (
            "SX-01: cylinder 2 by colour and condition and cylinder 3 by colour stand apart.",
            "#machine=%3DSX-01&sort=machine",
        ),
        (
            "?QD: its plugs differ, but not one against the rest.",
            "#machine=%3D%3FQD&sort=machine",
        ),
    )


def test_a_summary_without_any_gives_none_and_too_many_are_counted(monkeypatch) -> None:
    assert odd_words({}, "") == ()
    monkeypatch.setattr(module, "MOST_SHOWN", 2)
    shown = odd_words({"odd_plugs": [SET] * 5}, None)
    assert len(shown) == 3 and shown[-1] == ("and 3 more, in summary.json", "")
    assert all(address == "" for _, address in shown)
