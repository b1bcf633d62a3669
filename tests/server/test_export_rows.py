"""The rows of the tables: what stands in them, and what never does."""

import csv
import io

import pytest

from checklist.export import csv_files
from checklist.export.columns import TABLES
from checklist.export.pseudonym import Pseudonyms
from checklist.export.rows import ROWS
from tests.crowd import told
from tests.stories import a_case, ready_to_pull

NAMES = Pseudonyms(b"k" * 32)
EVERYTHING = frozenset({"label", "text"})


def rows(story, table):
    """Give the rows of one table that a story makes."""
    (held,) = told(story).cases()
    return list(ROWS[table](held.case, "case", "device"))


def files(folder, story, holds=frozenset()):
    """Write a story's tables; gives {name: bytes}."""
    csv_files.write_folder(told(story), NAMES, folder, holds, lambda _: None)
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def cells(content):
    """Read a table back: a list of rows by column."""
    return list(csv.DictReader(content.decode("utf-8-sig").splitlines()))


def test_every_row_has_exactly_the_columns_of_its_table():
    story = ready_to_pull().pull(descent="yes").detached().scalp("whole").stopped().closed()

    for table in TABLES:
        made = rows(story, table.name)
        assert made
        assert all(set(row) == {column.name for column in table.columns} for row in made)


def test_a_birth_by_the_book_is_told_in_numbers():
    story = ready_to_pull().pull(40, "yes").perineum().after(120).begins().after(30).born().cup_off()
    story = story.tells("apgar_scored", minute=5, score=9).tells("baby_observed", what="weight", value=3100)

    (row,) = rows(story, "cases")

    assert (row["pulls"], row["descent_pulls"], row["perineal_pulls"]) == (2, 1, 1)
    assert (row["cup_s"], row["traction_s"], row["suction_pa"]) == (30 + 120 + 43 + 120 + 30, 70, 75_000)
    assert (row["cup"], row["cup_mm"], row["apgar_5"], row["weight_g"]) == ("soft", 60, 9, 3100)


def test_blood_adds_up_and_an_apgar_is_built_from_its_parts():
    story = ready_to_pull().head_out().cup_off().born().tells("blood_loss_measured", ml=500, how="measured")
    story = story.tells("blood_loss_measured", ml=100, how="estimated").apgar(1, heart=2, breathing=1, tone=1, reflex=2, colour=1)

    (row,) = rows(story, "cases")

    assert (row["blood_loss_ml"], row["apgar_1"], row["apgar_5"]) == (600, 7, None)


def test_what_nobody_recorded_is_none_and_never_no():
    (row,) = rows(a_case().opened(), "cases")

    recorded = {name for name, value in row.items() if value not in (None, 0)}

    assert recorded == {"case", "device", "opened_at", "protocol", "events"}
    assert row["override"] is None and row["placenta_complete"] is None and row["cup_s"] is None


def test_a_pull_says_how_its_end_is_known():
    story = ready_to_pull().pull(40).after(120).begins().after(200).begins()

    made = rows(story, "pulls")

    assert [row["end"] for row in made] == ["told", "taken", None]
    assert [row["traction_s"] for row in made] == [40, 200, None]
    assert [row["descent"] for row in made] == [None] * 3 and made[0]["came_off"] is None


def test_what_was_taken_back_stays_and_is_marked():
    story = a_case().opened().cup_on().hiss().withdraws(3)

    made = rows(story, "events")

    assert [(row["kind"], row["taken_back"]) for row in made][2] == ("hiss_heard", True)


NAMED = "Zora Smith"


def with_names():
    """Tell a case in which a name was typed wherever something can be typed."""
    story = a_case().opened(label="Zora S", post="Hill post", script="zora_script")
    story = story.answered("bed", "zora").amends(2, answer="zoras").answered("reason", "slow")
    story = story.planned("transfer", place=NAMED).tells("note_added", text=NAMED, about="zora")
    story = story.tells("decision_made", decision="proceed", verdict="go", reason=NAMED)
    story = story.tells("handover_given", place="zora_hospital").tells("transfer_left", place="zora")
    story = story.tells("advice_answered", limit="pulls", choice="continued", reason="zora")
    return story.tells("newer_kind", zora="zora")


def test_neither_names_nor_ids_leave_unless_asked(tmp_path):
    story = with_names()

    written = files(tmp_path, story)

    everything = b"".join(written.values()).lower()
    assert b"zora" not in everything and b"hill post" in everything
    (held,) = told(story).cases()
    assert not any(real.encode() in everything for real in (held.case_id, story.log, held.device))


def test_bed_and_typed_text_leave_when_asked(tmp_path):
    written = files(tmp_path, with_names(), EVERYTHING)

    assert cells(written["cases.csv"])[0]["label"] == "zoras"
    assert NAMED in {row["text"] for row in cells(written["facts.csv"])}
    assert b"newer" not in written["facts.csv"]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@sum", "\t=1", " =1", "\r=1"])
def test_a_formula_is_made_harmless(tmp_path, text):
    written = files(tmp_path, a_case().opened(post=text, altitude_m=-4))

    (row,) = csv.DictReader(io.StringIO(written["cases.csv"].decode("utf-8-sig"), newline=""))
    assert row["post"] == f"'{text}"
    assert row["altitude_m"] == "-4"
    assert written["cases.csv"].startswith(b"\xef\xbb\xbfcase,")


@pytest.mark.parametrize("text", ["Hill post", "a=b", "Ḥill", "1"])
def test_other_text_stays_as_it_is(text):
    assert csv_files.harmless(text) == text


def test_lines_end_as_rfc_4180_says_and_quotes_hold_what_is_odd(tmp_path):
    written = files(tmp_path, a_case().opened(post='a "b", c\nd'))

    assert b'"a ""b"", c\nd"' in written["cases.csv"]
    assert written["events.csv"].count(b"\r\n") == written["events.csv"].count(b"\n") == 2


@pytest.mark.parametrize(
    ("ms", "said"),
    [
        (0, "1970-01-01T00:00:00Z"), (999, "1970-01-01T00:00:00Z"), (-1, "1969-12-31T23:59:59Z"),
        (-62_135_596_800_000, "0001-01-01T00:00:00Z"), (253_402_300_799_000, "9999-12-31T23:59:59Z"),
        (253_402_300_800_000, ""), (-(2**53), ""), (2**53, ""), (None, ""),
    ],
)
def test_a_clock_may_say_anything(ms, said):
    assert csv_files.moment(ms) == said


def test_one_hub_names_a_case_alike_each_time_and_another_does_not():
    hub, again, other = Pseudonyms.of_hub("key"), Pseudonyms.of_hub("key"), Pseudonyms.of_hub("yek")

    assert hub.name("case", "c" * 16) == again.name("case", "c" * 16) != other.name("case", "c" * 16)
    assert hub.name("case", "c" * 16) != hub.name("device", "c" * 16)
    assert hub.uuid("Patient", "1") == again.uuid("Patient", "1") != other.uuid("Patient", "1")
    assert Pseudonyms.of_one_export() != Pseudonyms.of_one_export()


def test_nothing_appears_when_it_breaks_off(tmp_path):
    def break_off(_):
        raise OSError("no room")

    with pytest.raises(OSError, match="no room"):
        csv_files.write_folder(told(ready_to_pull()), NAMES, tmp_path, frozenset(), break_off)

    assert list(tmp_path.iterdir()) == []
