from tipvision.batch.telling.aside_words import aside_words


def test_nothing_aside_says_nothing() -> None:
    assert list(aside_words({}, 5)) == []
    run = {"passed_over": {}, "gone": 0, "not_listed": []}
    assert list(aside_words({"run": run}, 5)) == []


def test_what_was_left_aside_is_counted() -> None:
    run = {
        "passed_over": {".txt": 1200, ".\u202emov": 1},
        "gone": 3,
        "not_listed": [f"folder {k}: Permission denied" for k in range(9)],
    }
    passed, gone, *folders = aside_words({"run": run}, 5)
    assert passed == "Passed over, no photos: 1,201 (1,200 .txt and 1 .?mov)."
    assert gone == "Gone since the last run: 3; their readings are kept, not counted."
    assert folders[0] == "Could not be listed: folder 0: Permission denied"
    assert len(folders) == 6 and folders[-1].startswith("Could not be listed: 4 more")
