"""Replies read from files: JSON, mails, mailboxes and tables, whole or damaged; the good taken, the rest told."""

from __future__ import annotations

import csv
import json
import mailbox
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import pytest

from ledger.errors import Fault, FaultsFound
from ledger.replies.document import canonical
from ledger.replies.gathering.files import gathered
from ledger.replies.gathering.forum import Columns, columns_of
from ledger.replies.gathering.gathered import Gathered
from tests.hostile import FORMULAS, TEXTS
from tests.intakes import reply


def put(folder: Path, name: str, content: bytes | str) -> Path:
    """Write a file."""
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def said(found: Gathered) -> list[dict[str, Any]]:
    """The replies as data."""
    return [json.loads(canonical(one.document)) for one in found.replies]


def only(found: Gathered) -> Fault:
    """The one fault."""
    assert found.replies == ()
    (fault,) = found.faults
    assert all((fault.given, fault.expected, fault.remedy))
    return fault


FORMS = {
    "one": lambda sent: json.dumps(sent[0]),
    "one, indented, with a mark of its encoding": lambda sent: "\ufeff" + json.dumps(sent[0], indent=2),
    "a list": lambda sent: json.dumps(sent),
    "lines": lambda sent: "\n".join(map(json.dumps, sent)) + "\n\n",
    "an export": lambda sent: "\n".join(
        json.dumps({"seq": number, "received": "2031-06-01", "reply": one}) for number, one in enumerate(sent, 1)
    ),
    "what a page sends": lambda sent: json.dumps({"reply": sent[0], "challenge": "x", "nonce": "1", "homepage": ""}),
}


@pytest.mark.parametrize("form", FORMS)
def test_json_is_read_in_every_form_that_carries_replies(tmp_path: Path, form: str) -> None:
    """One document, a list, a line each, an export, or what a page would have sent."""
    sent = [reply(1), reply(2, text="Zwei – „sicher“ 🧭")]
    found = gathered([put(tmp_path, "replies.json", FORMS[form](sent))])
    assert found.faults == ()
    assert said(found) == (sent if form in ("a list", "lines", "an export") else sent[:1])
    assert found.replies[0].day == "2031-05-17"


def test_the_good_ones_are_taken_and_every_fault_is_told(tmp_path: Path) -> None:
    """In a file of lines each fault has its line; a file that is nothing, one that is not there, and a folder too."""
    lines = [json.dumps(reply(1)), "{broken", json.dumps(reply(2, stance="angry", consent=1)), json.dumps(reply(3))]
    files = [
        put(tmp_path, "lines.jsonl", "\n".join(lines)),
        put(tmp_path, "list.json", json.dumps([reply(4), {"version": 1}, 7])),
        put(tmp_path, "noise.json", b"\x00\xff\xfe\x01"),
        put(tmp_path, "empty.json", b""),
        tmp_path / "nowhere.json",
        tmp_path,
    ]
    found = gathered(files)
    assert [one["id"] for one in said(found)] == [reply(number)["id"] for number in (1, 3, 4)]
    told = {(Path(fault.file.partition(",")[0]).name, fault.line, fault.field) for fault in found.faults}
    assert {("lines.jsonl", 2, ""), ("lines.jsonl", 3, "stance"), ("lines.jsonl", 3, "consent")} <= told
    assert ("nowhere.json", 0, "file") in told
    assert {"noise.json", "empty.json", tmp_path.name} <= {name for name, _, _ in told}
    assert any(", reply 2" in fault.file and fault.field == "about" for fault in found.faults)
    assert any(", reply 3" in fault.file for fault in found.faults)
    assert all(fault.given and fault.expected and fault.remedy for fault in found.faults)


def mail(attached: list[bytes] = [], text: str = "", html: str = "", name: str = "reply.json") -> EmailMessage:  # noqa: B006
    """A mail, with files attached or a text."""
    made = EmailMessage()
    made["From"], made["To"], made["Subject"] = "Reader <reader@site.example>", "me@site.example", "Antwort: Gehäuse"
    made.set_content(text or "See the file.")
    if html:
        made.add_alternative(html, subtype="html")
    for one in attached:
        made.add_attachment(one, maintype="application", subtype="octet-stream", filename=name)
    return made


@pytest.mark.parametrize(
    ("content", "field", "given"),
    [
        (json.dumps(reply(1, text="x" * 10_000_000)), "text", "xxx"),
        ("[" * 1_000_000 + "]" * 1_000_000, "", "nested too deep"),
        ('{"a":' * 100_000 + "1" + "}" * 100_000, "", "nested too deep"),
        (json.dumps(reply(1)).replace("0.6", "NaN"), "", "NaN is no number"),
        (json.dumps(reply(1)).replace("0.6", "-Infinity"), "", "-Infinity is no number"),
        (json.dumps(reply(1)).replace("0.6", "1e999"), "confidences.hypotheses/drum", "inf"),
        (json.dumps(reply(1)).replace('"version": 1', f'"version": {"1" * 5000}'), "", "5000 digits"),
        (json.dumps(reply(1)).replace('"stance"', '"text": "b", "stance"'), "", "`text` stands twice"),
        (json.dumps(reply(1)).encode("utf-16"), "", "neither JSON nor a mail"),
        (b"\0" * 5000, "", "neither JSON nor a mail"),
    ],
    ids=["ten megabytes", "lists in lists", "objects in objects", "NaN", "Infinity", "beyond floats", "digits", "twice",
         "UTF-16", "zeros"],
)  # fmt: skip
def test_json_that_is_no_reply_s_is_told(tmp_path: Path, content: bytes | str, field: str, given: str) -> None:
    """Ten megabytes, depth without end, numbers that are none, names twice, other encodings: one fault, in words."""
    fault = only(gathered([put(tmp_path, "a.json", content)]))
    assert (fault.field, given in fault.given) == (field, True)
    assert len(fault.given) < 300


def test_a_mail_carries_replies_as_files(tmp_path: Path) -> None:
    """Attached under a name in .json, or as JSON by its type, in whatever encoding the mail program chose."""
    sent = [reply(1, text="Zwei – 🧭"), reply(2)]
    made = mail([json.dumps(sent[0]).encode()])
    made.add_attachment(json.dumps(sent[1]).encode(), maintype="application", subtype="json")
    found = gathered([put(tmp_path, "one.eml", made.as_bytes())])
    assert (said(found), found.faults) == (sent, ())


WRITTEN = json.dumps(
    reply(1, text="It is not a drum, as I said before:\n\n- the rails end there\n- „sicher“, and more of it here"),
    ensure_ascii=False,
)
PASTED = {
    "as it is": f"Hello,\n\n{WRITTEN}\n\nRegards\n-- \n{{not this}}",
    "indented": "Here {it} is:\n" + json.dumps(json.loads(WRITTEN), indent=4),
    "quoted": "\n".join(f"> {line}" for line in json.dumps(json.loads(WRITTEN), indent=1).split("\n")),
    "quoted twice": "\n".join(f"> > {line}" for line in json.dumps(json.loads(WRITTEN), indent=1).split("\n")),
    "broken at spaces": WRITTEN.replace("a drum, ", "a drum,\n").replace("and more ", "and\nmore "),
    "broken after spaces, as flowed text is": WRITTEN.replace("a drum, ", "a drum, \n").replace(
        "and more ", "and \nmore "
    ),
    "broken and quoted": "> " + WRITTEN.replace("a drum, ", "a drum,\n> ").replace("and more ", "and\n> more "),
}


@pytest.mark.parametrize("way", PASTED)
def test_a_reply_pasted_into_a_mail_is_read(tmp_path: Path, way: str) -> None:
    """Broken by the mail program, quoted, between other words: what was said comes out to the letter."""
    found = gathered([put(tmp_path, "one.eml", mail(text=PASTED[way]).as_bytes())])
    assert (said(found), found.faults) == ([json.loads(WRITTEN)], ())


def test_a_reply_in_html_alone_is_read(tmp_path: Path) -> None:
    """A mail program that sends HTML alone keeps the words in it."""
    made = EmailMessage()
    made["From"] = "reader@site.example"
    spaced = json.dumps(json.loads(WRITTEN), indent=2).replace("&", "&amp;").replace("<", "&lt;")
    made.set_content(
        "<div>Hello<br>" + spaced.replace("\n", "<br>").replace("  ", "&nbsp; ") + "</div>", subtype="html"
    )
    found = gathered([put(tmp_path, "one.eml", made.as_bytes())])
    assert (said(found), found.faults) == ([json.loads(WRITTEN)], ())


def test_a_mailbox_is_read_mail_by_mail(tmp_path: Path) -> None:
    """Each mail by its number: replies, faults in one, and mails that carry none."""
    path = tmp_path / "box"
    box = mailbox.mbox(path)
    for made in (
        mail([json.dumps(reply(1)).encode()]),
        mail(text="Just words, no reply."),
        mail(text='Half a one: {"version": 1, "id": '),
        mail([json.dumps(reply(2, stance="angry")).encode()]),
        mail(text=json.dumps(reply(3))),
    ):
        box.add(made)
    box.close()
    before = path.read_bytes()
    found = gathered([path])
    assert said(found) == [reply(1), reply(3)]
    told = [(fault.file.rpartition(", ")[2], fault.field) for fault in found.faults]
    assert told == [("mail 2", ""), ("mail 3", ""), ("mail 4", "stance")]
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == ["box"]


MIXED = b"Subject: x\nContent-Type: multipart/mixed; boundary=a\n"


@pytest.mark.parametrize(
    "content",
    [
        MIXED + b"\n--a\nContent-Type: text/plain; charset=no-such\n\n\xff{\n--a--",
        b"Subject: =?utf-8?q?=FF=FE?=\nContent-Type: application/json; name*=utf-8''%FF.json\n\n{}",
        b"Subject: x\nContent-Transfer-Encoding: base64\nContent-Type: application/json\n\n!!!not base64!!!",
        MIXED + b"\n--a\nContent-Type: multipart/mixed; boundary=a\n" * 500,
        b"Subject: x\nContent-Type: text/html\n\n<![CDATA[ <!-- {\"a\" <a b='c",
        b"Subject: x\nContent-Type: text/plain; charset=utf-7\n\n+AHs-{ \"a\": 1}",
        b"From \xff\xfe\n\n\nFrom x\n{\"",
        b"Subject: x\nContent-Type: text/plain; charset=\"unicode_escape\"\n\n\\x7b \\ud800 {\"a\":1}",
        b": no name\n\nbody",
        b"Subject: x\nContent-Type: text/plain; charset=a\x00b\n\n\xff{",
        b"Subject: x\nContent-Type: message/rfc822\n\nSubject: y\n\n{\"version\": 2}",
    ],
    ids=range(11),
)  # fmt: skip
def test_damaged_mails_are_told_and_break_nothing(tmp_path: Path, content: bytes) -> None:
    """Unknown encodings, containers in containers, encodings that are none: each is told, none is taken."""
    found = gathered([put(tmp_path, "one.eml", content)])
    assert found.replies == ()
    assert found.faults


COLUMNS = Columns(
    columns_of("text=Answer,name=User,sent=Posted,id=Post"), {"about": "questions/forks", "stance": "doubt"}
)


def table(path: Path, rows: list[list[str]], **form: Any) -> Path:
    """Write a table as a spreadsheet would."""
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, **form).writerows(rows)
    return path


def test_a_forum_s_answers_are_read_from_a_table(tmp_path: Path) -> None:
    """Columns by their headings, in any order, others left; what no column says holds for all rows."""
    rows = [
        ["Post", "Likes", "User", "Posted", "Answer"],
        ["17", "3", "Ansel", "2031-05-17 14:03:22", "Two lines,\r\nwith „quotes“; and\r\n\r\n- a list"],
        ["18", "", "", "2031-05-18T01:00:00Z", "No name."],
        ["", "", "", "", ""],
    ]
    found = gathered([table(tmp_path / "forum.csv", rows)], COLUMNS)
    assert found.faults == ()
    first, second = (one.document for one in found.replies)
    assert first.text == "Two lines,\nwith „quotes“; and\n\n- a list"
    assert (first.name, first.sent, first.about, first.stance) == ("Ansel", "2031-05-17", "questions/forks", "doubt")
    assert (first.consent, first.credit, first.credited) == (False, "anonymous", None)
    assert (second.name, second.sent) == (None, "2031-05-18")
    again = gathered([table(tmp_path / "again.csv", rows[:3])], COLUMNS)
    assert [one.document.id for one in again.replies] == [first.id, second.id]


@pytest.mark.parametrize(("delimiter", "name"), [(",", "a.csv"), (";", "a.csv"), ("\t", "a.csv"), ("\t", "a.tsv")])
def test_the_sign_between_cells_is_found_out(tmp_path: Path, delimiter: str, name: str) -> None:
    """Commas, semicolons or tabs, with a mark of the encoding in front or not."""
    path = table(tmp_path / name, [["Answer", "Posted"], ["Yes, a drum; I think", "2031-05-17"]], delimiter=delimiter)
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    meaning = Columns({"text": "Answer", "sent": "Posted"}, COLUMNS.same)
    assert [one.document.text for one in gathered([path], meaning).replies] == ["Yes, a drum; I think"]


def test_a_table_may_have_confidences_days_of_its_own_and_consent(tmp_path: Path) -> None:
    """A column for each rival, as shares or in percent; days as they are written there; consent if it was given."""
    meaning = Columns(
        columns_of("text=A,name=N,sent=D,hypotheses/drum=Drum,hypotheses/face-cam=Cam,none-of-these=Rest"),
        COLUMNS.same, consent=True, days="%d.%m.%Y",
    )  # fmt: skip
    rows = [["A", "N", "D", "Drum", "Cam", "Rest"], ["x", "Tove", "17.5.2031", "60 %", "0,3", "0.1"]]
    (one,) = gathered([table(tmp_path / "a.csv", rows)], meaning).replies
    assert one.document.confidences == {"hypotheses/drum": 0.6, "hypotheses/face-cam": 0.3, "none-of-these": 0.1}
    assert (one.document.sent, one.document.credited) == ("2031-05-17", "Tove")


def test_each_row_s_faults_are_told_with_its_line_and_the_others_taken(tmp_path: Path) -> None:
    """Days that are none, empty answers, ids used twice, confidences that are none: by line, also after long cells."""
    rows = [
        ["Post", "User", "Posted", "Answer", "Drum"],
        ["1", "A", "2031-05-17", "one\ntwo\nthree", "0.5"],
        ["2", "B", "yesterday", "words", ""],
        ["3", "C", "2031-02-30", "words", ""],
        ["4", "D", "2031-05-17", "", ""],
        ["5", "E", "2031-05-17", "words", "likely"],
        ["5", "F", "2031-05-17", "words", "1.5"],
        ["1", "G", "2031-05-17", "others", ""],
        ["8", "H\x07", "2031-05-17", "words", "30%"],
        ["9", "I", "2031-05-17", "last", "30%"],
        ["10", "J", "2031-05-17", "it", "", "", "goes on behind a sign that parts cells"],
    ]
    meaning = Columns({**COLUMNS.of, "hypotheses/drum": "Drum"}, COLUMNS.same)
    found = gathered([table(tmp_path / "a.csv", rows)], meaning)
    assert [one.document.text for one in found.replies] == ["one\ntwo\nthree", "last"]
    assert [(fault.line, fault.field) for fault in found.faults] == [
        (5, "sent"), (6, "sent"), (7, "text"), (8, "hypotheses/drum"), (9, "hypotheses/drum"), (10, "id"), (11, "name"),
        (13, "columns"),
    ]  # fmt: skip
    assert "which line 2 has too" in found.faults[5].given
    assert "\x07" not in str(found.faults)


@pytest.mark.parametrize(
    ("content", "field", "given"),
    [
        (b"", "file", "nothing"),
        (b"Post,User,Posted\n1,A,2031-05-17\n", "columns", "no column `Answer`"),
        (b"Post,User,Posted,Answer,Answer\n1,A,2031-05-17,x,y\n", "columns", "2 columns `Answer`"),
        (b"Post,User,Posted,Answer\n1,A,2031-05-17,\xe4\n", "file", "the byte 0xe4"),
        (b"Post,User,Posted,Answer\n1,A,2031-05-17," + b"x" * 1_000_001, "file", "field larger"),
        (b"\n,,,\nPost,User,Posted\n1,A,2031-05-17\n", "columns", "no column `Answer`"),
    ],
)
def test_a_table_that_cannot_be_read_is_told(tmp_path: Path, content: bytes, field: str, given: str) -> None:
    """Empty, without the columns or with one twice, in another encoding, with a cell beyond measure."""
    fault = only(gathered([put(tmp_path, "a.csv", content)], COLUMNS))
    assert fault.field == field
    assert given in fault.given


def test_a_table_needs_to_be_told_what_its_columns_mean(tmp_path: Path) -> None:
    """Without it nothing is guessed; with it, all that is wrong in it is told."""
    assert only(gathered([put(tmp_path, "a.csv", b"x\n")])).field == "columns"
    assert columns_of(" text = Answer , hypotheses/drum=D") == {"text": "Answer", "hypotheses/drum": "D"}
    with pytest.raises(FaultsFound) as found:
        columns_of("text=A,text=B,mood=C,=D,E,")
    assert len(found.value.faults) == 5
    with pytest.raises(FaultsFound, match="which column holds"):
        columns_of("name=User")


def test_hostile_cells_are_words(tmp_path: Path) -> None:
    """Formulas, markup and templates in a table are what somebody wrote: words, and nothing runs."""
    texts = [text for text in (*FORMULAS, *TEXTS) if text.strip() and "\r" not in text]
    rows = [["Answer", "Posted"], *([text, "2031-05-17"] for text in texts)]
    found = gathered([table(tmp_path / "a.csv", rows)], Columns({"text": "Answer", "sent": "Posted"}, COLUMNS.same))
    assert found.faults == ()
    assert [one.document.text for one in found.replies] == [text.strip() for text in texts]
