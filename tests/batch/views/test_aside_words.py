from tipvision.batch.views.aside_words import MOST_SHOWN, aside_words


def test_nothing_aside_says_nothing() -> None:
    assert list(aside_words({})) == []
    run = {"passed_over": {}, "gone": 0, "not_listed": []}
    assert list(aside_words({"run": run})) == []


def test_what_was_left_aside_is_counted() -> None:
    run = {
        "passed_over": {".txt": 1200, ".\u202emov": 1},
        "gone": 3,
        "not_listed": [f"folder {k}: Permission denied" for k in range(MOST_SHOWN + 4)],
    }
    passed, gone, *folders = aside_words({"run": run})
    assert passed == "Passed over, no photos by their names: 1,201 (1,200 .txt and 1 .?mov)."
    assert gone == "Gone since the last run: 3; their readings are kept, not counted."
    assert folders[0] == "Could not be listed: folder 0: Permission denied"
    assert len(folders) == MOST_SHOWN + 1 and folders[-1].startswith("Could not be listed: 4 more")
