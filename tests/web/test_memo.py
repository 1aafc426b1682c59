"""What a page worked out is shown again until something stored changes; who asks meanwhile waits for it."""

from __future__ import annotations

from threading import Barrier, Thread

from planner.web.desk import Memo
from tests.web.conftest import Browser


def test_a_value_is_made_once_until_the_stamp_changes() -> None:
    memo, made = Memo(), []

    def make() -> int:
        made.append(1)
        return len(made)

    assert [memo.once(1, "a", make), memo.once(1, "a", make), memo.once(1, "b", make)] == [1, 1, 2]
    assert memo.once(2, "a", make) == 3
    assert memo.once(1, "a", make) == 4, "an older stamp never gets the newer one's value by chance"


def test_many_who_ask_at_once_have_it_made_once() -> None:
    memo, made, at_once = Memo(), [], Barrier(8)

    def ask() -> None:
        at_once.wait()
        memo.once(1, "a", lambda: made.append(1))

    people = [Thread(target=ask) for _ in range(8)]
    for one in people:
        one.start()
    for one in people:
        one.join()
    assert len(made) == 1


def test_a_page_follows_what_is_saved_at_once(browser: Browser) -> None:
    assert ">P-1<" in browser.look("/jobs?words=P-1").text
    browser.post("/jobs/save", _code="P-1", client="Reed Newname")
    assert "Reed Newname" in browser.look("/jobs?words=P-1").text
    assert browser.post("/week/lost").status_code == 303
    assert "rain" in browser.look("/week").text
