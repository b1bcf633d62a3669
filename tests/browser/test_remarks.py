"""What a tablet shows of the supervisor's remarks: the thread, what is new, and the answer."""

from tests.halves import modules_page

__all__ = ["modules_page"]
CASE, OTHER = "0011223344556677", "8899aabbccddeeff"
READ = """async ([heard, events, id, seen, here]) => {
  const { thread, unread } = await import("/remarks.js");
  return {
    thread: thread(heard, events, id).map(({ kind, by, text }) => [kind, by, text]),
    unread: unread(heard, new Set(seen), (one) => here.includes(one)).map(({ seq }) => seq),
  };
}"""
DRAW = """async ([heard, events, id, written]) => {
  const { remarksPart } = await import("/pages/remarks.js");
  const { unopened } = await import("/remarks.js");
  (await import("/ui/key.js")).forgetTaps();
  const said = [];
  const kept = {};
  const words = {
    comma: () => ", ",
    text: (name) => name, has: () => true,
    isForeign: () => false, parts: (name, values) => [{ text: name + ":" }, ...Object.values(values).map((value) => ({ value }))],
  };
  const view = {
    words, caseId: id, events, isWriter: true, redraw() {},
    link: { heard: () => heard, isHere: () => true, send() { said.push("sent"); } },
    settings: { get: (name) => kept[name], set: (name, value) => { kept[name] = value; } },
    desk: { recordIn: async (...told) => { said.push(told); } },
  };
  const before = unopened(view);
  const part = remarksPart(view);
  const after = unopened(view);
  if (part === null) return { before, part: null, after };
  document.body.append(part);
  part.querySelector("textarea").value = written;
  part.querySelector("button").click();
  await new Promise((resolve) => setTimeout(resolve, 50));
  part.remove();
  return { before, part: part.textContent, after, said, markup: part.querySelectorAll("script, i").length };
}"""


def said(seq, kind="remark_made", case=CASE, **facts):
    return {"kind": kind, "at": seq * 1000, "log": "aa", "seq": seq, "facts": {"target_case": case, **facts}}


def answered(seq, text):
    return {"kind": "remark_answered", "at": seq * 1000, "log": "bb", "seq": seq, "facts": {"text": text}}


def withdrawn(seq):
    return {"kind": "withdrawn", "at": 9000, "log": "bb", "seq": 9, "facts": {"target_log": "bb", "target_seq": seq}}


HEARD = [said(1, text="Why?", by="Asha"), said(3, "case_reviewed", by="Asha"), said(4, case=OTHER, text="Well done")]


def read(page, heard=(), events=(), seen=(), here=(CASE, OTHER)):
    return page.evaluate(READ, [list(heard), list(events), CASE, list(seen), list(here)])


def test_remarks_and_answers_stand_in_the_order_of_their_moments(modules_page):
    found = read(modules_page, HEARD, [answered(2, "She was on the perineum.")])

    assert found["thread"] == [
        ["remark_made", "Asha", "Why?"], ["remark_answered", "", "She was on the perineum."],
        ["case_reviewed", "Asha", ""],
    ]


def test_an_answer_that_was_taken_back_is_left_out(modules_page):
    found = read(modules_page, HEARD[:1], [answered(2, "No."), withdrawn(2)])

    assert [kind for kind, _, _ in found["thread"]] == ["remark_made"]


def test_a_remark_in_the_log_of_the_tablet_says_nothing(modules_page):
    assert read(modules_page, [], [said(1, text="Well done")])["thread"] == []


def test_what_is_new_is_what_was_not_opened_of_births_on_this_tablet(modules_page):
    assert read(modules_page, HEARD)["unread"] == [1, 4]
    assert read(modules_page, HEARD, seen=["aa/1"])["unread"] == [4]
    assert read(modules_page, HEARD, here=[CASE])["unread"] == [1]


def test_a_remark_that_is_drawn_counts_as_opened_and_its_text_is_text(modules_page):
    heard = [said(1, text="<i>Why</i> <script>x</script>?", by="Asha")]

    found = modules_page.evaluate(DRAW, [heard, [], CASE, ""])

    assert (found["before"], found["after"]) == (1, 0)
    assert "<i>Why</i> <script>x</script>?" in found["part"] and found["markup"] == 0


def test_an_answer_is_recorded_in_the_case_and_sent(modules_page):
    found = modules_page.evaluate(DRAW, [HEARD, [], CASE, "  She was on the perineum. "])

    assert found["said"] == [[CASE, "remark_answered", {"text": "She was on the perineum."}], "sent"]
    assert "remarks.answered" in found["part"]


def test_an_empty_answer_is_no_answer(modules_page):
    assert modules_page.evaluate(DRAW, [HEARD, [], CASE, "   "])["said"] == []


def test_without_a_remark_there_is_no_part(modules_page):
    assert modules_page.evaluate(DRAW, [[], [], CASE, ""]) == {"before": 0, "part": None, "after": 0}
