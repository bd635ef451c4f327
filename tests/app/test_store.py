"""App: the workshop's database on SQLite and on a real PostgreSQL server; what is expected is what was put in."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from hashlib import sha256
from pathlib import Path

import pytest

from trialfit.errors import Refusal, Refusals
from trialfit.store.database import documents
from trialfit.store.database.folders import give_out, take_in
from trialfit.store.database.lines import list_jobs
from trialfit.store.database.pictures import add_picture, copy_path, picture_path, pictures_of
from trialfit.store.database.records import Conflict, NotThere, Taken
from trialfit.store.database.workshop import Workshop, open_workshop
from workshops import EXAMPLES, job_text, jpeg, png

FIRST, SECOND, THIRD = job_text(), job_text(story="It sheared again."), job_text(story="A third time.")


def _start(workshop: Workshop, name: str = "bittern", text: str = FIRST, key: str = "") -> None:
    documents.start(workshop, "job", name, text, "bench", key)


def test_every_save_stays_and_the_last_holds(workshop: Workshop) -> None:
    _start(workshop)
    documents.save(workshop, "job", "bittern", SECOND, 1, "tablet")
    held = documents.save(workshop, "job", "bittern", THIRD, 2, "bench")
    assert (held.revision.number, held.revision.parent, held.revision.text) == (3, 2, THIRD)
    assert [documents.revision(workshop, "job", "bittern", n).text for n in (1, 2, 3)] == [FIRST, SECOND, THIRD]
    lines = documents.history(workshop, "job", "bittern")
    assert [(line.number, line.parent, line.saved_by) for line in lines] == [
        (3, 2, "bench"), (2, 1, "tablet"), (1, 0, "bench"),
    ]  # fmt: skip
    assert lines[0].sha256 == sha256(THIRD.encode()).hexdigest()


def test_undo_and_redo_move_between_revisions(workshop: Workshop) -> None:
    _start(workshop)
    documents.save(workshop, "job", "bittern", SECOND, 1, "bench")
    back = documents.undo(workshop, "job", "bittern", 2, "bench")
    assert (back.revision.text, back.undo_to, back.redo_to) == (FIRST, 0, 2)
    with pytest.raises(Refusal, match="nothing left to undo"):
        documents.undo(workshop, "job", "bittern", 1, "bench")
    assert documents.redo(workshop, "job", "bittern", 1, "bench").revision.text == SECOND
    with pytest.raises(Refusal, match="nothing to redo"):
        documents.redo(workshop, "job", "bittern", 2, "bench")
    documents.undo(workshop, "job", "bittern", 2, "bench")
    branch = documents.save(workshop, "job", "bittern", THIRD, 1, "bench")
    assert (branch.revision.number, branch.revision.parent, branch.redo_to) == (3, 1, 0)
    assert documents.revision(workshop, "job", "bittern", 2).text == SECOND


def test_the_second_of_two_writers_is_shown_both_versions(workshop: Workshop) -> None:
    _start(workshop)
    documents.save(workshop, "job", "bittern", SECOND, 1, "tablet")
    with pytest.raises(Conflict) as refused:
        documents.save(workshop, "job", "bittern", THIRD, 1, "bench")
    assert (refused.value.base, refused.value.yours, refused.value.theirs.text) == (1, THIRD, SECOND)
    assert str(refused.value) == (
        "job bittern: got a change to revision 1, wanted a change to revision 2, which holds since tablet saved it. "
        "Look at both, and save again what should hold."
    )
    with pytest.raises(Conflict):
        documents.undo(workshop, "job", "bittern", 1, "bench")
    assert documents.holding(workshop, "job", "bittern").newest == 2


def test_a_change_sent_again_is_made_once(workshop: Workshop) -> None:
    _start(workshop, key="begin")
    _start(workshop, key="begin")
    for _ in range(2):
        held = documents.save(workshop, "job", "bittern", SECOND, 1, "bench", "first")
        assert (held.revision.number, held.newest) == (2, 2)
    documents.save(workshop, "job", "bittern", THIRD, 2, "tablet", "second")
    late = documents.save(workshop, "job", "bittern", SECOND, 1, "bench", "first")
    assert late.revision.text == THIRD  # it had been made; what holds now is what came after
    for _ in range(2):
        assert documents.undo(workshop, "job", "bittern", 3, "bench", "back").revision.number == 2
    with pytest.raises(Taken, match="key first, which stands for another change"):
        documents.save(workshop, "job", "bittern", THIRD, 2, "bench", "first")
    assert documents.save(workshop, "job", "bittern", SECOND, 2, "bench").newest == 3


def test_two_of_one_name_are_refused(workshop: Workshop) -> None:
    _start(workshop)
    with pytest.raises(Taken, match="which is there already"):
        _start(workshop, text=SECOND)
    with pytest.raises(NotThere, match='Did you mean "bittern"'):
        documents.holding(workshop, "job", "bitern")
    with pytest.raises(NotThere, match="wanted one of 1 to 1"):
        documents.revision(workshop, "job", "bittern", 7)


@pytest.mark.parametrize("name", ["", "../etc", "a/b", "a\\b", ".hidden", "a b", "end.", "con", "NUL.toml", "x" * 81])
def test_a_name_that_is_no_folder_s_is_refused(on_disk: Workshop, name: str) -> None:
    with pytest.raises(Refusal, match="name of the job"):
        _start(on_disk, name)


def test_the_shop_has_revisions_too(workshop: Workshop) -> None:
    documents.start(workshop, "shop", documents.SHOP, "a", "bench")
    assert documents.save(workshop, "shop", documents.SHOP, "b", 1, "bench").newest == 2
    assert list_jobs(workshop) == ()


def _count_up(workshop: Workshop, writer: int, times: int) -> int:
    """Each writer adds its line to whatever holds, and begins again where another was quicker."""
    beaten = 0
    for k in range(times):
        while True:
            held = documents.holding(workshop, "job", "bittern").revision
            text = f"{held.text}# writer {writer}, edit {k}\n"
            try:
                documents.save(workshop, "job", "bittern", text, held.number, f"writer {writer}", f"{writer}.{k}")
                break
            except Conflict as conflict:
                assert conflict.theirs.number > held.number
                beaten += 1
    return beaten


def test_several_writers_at_once_lose_nothing(workshop: Workshop) -> None:
    _start(workshop)
    writers, times = 4, 12
    others = [open_workshop(workshop.folder, _url(workshop)) for _ in range(writers)]
    with ThreadPoolExecutor(writers) as pool:
        list(pool.map(_count_up, others, range(writers), [times] * writers))
    for other in others:
        other.close()
    held = documents.holding(workshop, "job", "bittern")
    lines = held.revision.text.removeprefix(FIRST).splitlines()
    assert sorted(lines) == sorted(f"# writer {w}, edit {k}" for w in range(writers) for k in range(times))
    assert held.newest == 1 + writers * times
    chain = [line.parent for line in documents.history(workshop, "job", "bittern")]
    assert chain == list(range(writers * times, -1, -1))


def test_one_change_sent_by_two_at_the_same_moment_is_made_once(workshop: Workshop) -> None:
    _start(workshop)
    with ThreadPoolExecutor(4) as pool:
        sent = [pool.submit(documents.save, workshop, "job", "bittern", SECOND, 1, "bench", "same") for _ in range(8)]
        assert {each.result().newest for each in sent} == {2}


def test_of_two_who_start_one_job_one_is_refused(workshop: Workshop) -> None:
    def start(text: str) -> str:
        try:
            return documents.start(workshop, "job", "bittern", text, "bench").revision.text
        except Taken:
            return "refused"

    with ThreadPoolExecutor(6) as pool:
        told = list(pool.map(start, [job_text(story=f"By {k}.") for k in range(6)]))
    assert told.count("refused") == 5
    assert documents.holding(workshop, "job", "bittern").revision.text in told


def test_one_photograph_sent_by_many_at_once_is_kept_once(workshop: Workshop) -> None:
    names = ["bittern", "greylag", "snipe"]
    for name in names:
        _start(workshop, name)
    with ThreadPoolExecutor(6) as pool:
        sent = [pool.submit(add_picture, workshop, name, "front.jpg", jpeg(), "bench") for name in names * 4]
        assert {each.result().sha256 for each in sent} == {sha256(jpeg()).hexdigest()}
    assert [len(pictures_of(workshop, name)) for name in names] == [1, 1, 1]


def _url(workshop: Workshop) -> str:
    return workshop.engine.url.render_as_string(hide_password=False) if workshop.on_server else ""


def test_a_job_folder_goes_in_and_out_byte_for_byte(workshop: Workshop, tmp_path: Path) -> None:
    folder = tmp_path / "greylag"
    (folder / "photographs").mkdir(parents=True)
    kept = {
        "job.toml": ("\ufeff" + FIRST.replace("\n", "\r\n") + "# Größe? 7/16\"\r\n").encode(),
        "photographs/front.jpg": jpeg(),
        "photographs/Küche (2).png": png(),
        "photographs/notes.txt": b"found on the bench\n",
    }  # fmt: skip
    for name, content in kept.items():
        (folder / name).write_bytes(content)
    (folder / "photographs" / ".thumbnails").write_bytes(b"of the phone's own")
    (folder / "sheets.pdf").write_bytes(b"%PDF")
    taken = take_in(workshop, folder, "bench")
    assert (taken.photographs, taken.left) == (3, ("photographs/.thumbnails", "sheets.pdf"))
    give_out(workshop, "greylag", tmp_path / "out")
    assert _files(tmp_path / "out") == kept
    again = take_in(workshop, tmp_path / "out", "bench", "greylag")
    assert again.holding.newest == 1
    with pytest.raises(Refusal, match="nothing is ever written over"):
        give_out(workshop, "greylag", tmp_path / "out")


@pytest.mark.parametrize("example", sorted(path.parent.name for path in EXAMPLES.glob("*/job.toml")))
def test_every_example_goes_in_and_out_byte_for_byte(on_disk: Workshop, tmp_path: Path, example: str) -> None:
    take_in(on_disk, EXAMPLES / example, "bench")
    give_out(on_disk, example, tmp_path / "out")
    assert _files(tmp_path / "out") == _files(EXAMPLES / example)


def test_a_folder_with_faults_is_refused_with_all_of_them(on_disk: Workshop, tmp_path: Path) -> None:
    (tmp_path / "bad").mkdir()
    (tmp_path / "bad" / "job.toml").write_text(FIRST.replace('"80 psi"', '"80"').replace("5/16x32", "5/16x33"))
    with pytest.raises(Refusals) as refused:
        take_in(on_disk, tmp_path / "bad", "bench")
    assert len(refused.value.faults) == 2
    assert list_jobs(on_disk) == ()


def _files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


SEARCHES = [
    ("", {"bittern", "greylag", "snipe", "kolben"}),
    ("sheared", {"bittern", "greylag", "snipe"}),
    ("SHEARED fenwright", {"bittern"}),
    ("thread:1/4x40", {"greylag"}),
    ("thread: 1/4x40", {"greylag"}),
    ('thread:"1/4 x 40"', {"greylag"}),
    ("thread:5/16x32", {"bittern", "kolben"}),
    ("owner:tarn", {"greylag", "snipe"}),
    ("engine:bittern", {"bittern"}),
    ("engine:tarn", set()),
    ("part:clack", {"bittern", "greylag", "snipe", "kolben"}),
    ("part:sheared", set()),
    ("kuhlung", {"kolben"}),
    ("KÜHLUNG", {"kolben"}),
    ("100%", {"snipe"}),
    ("1_0", set()),
    ("colour:red", set()),
    ("'; drop table documents; --", set()),
]


def test_past_jobs_are_found_by_words_parts_threads_owner_and_engine(workshop: Workshop) -> None:
    jobs = {
        "bittern": job_text(),
        "greylag": job_text("greylag", "N. Tarnbrook", "Greylag", "1/4 x 40", "Tail sheared."),
        "snipe": job_text("snipe", "N. Tarnbrook", "Snipe", "1/8 BSPP", "Sheared 100% off."),
        "kolben": job_text("kolben", "M. Aske", "Kolben", "5/16x32", "Die Kühlung tropft."),
    }
    for name, text in jobs.items():
        _start(workshop, name, text)
    found = {words: {line.name for line in list_jobs(workshop, words)} for words, _ in SEARCHES}
    assert found == dict(SEARCHES)
    assert [line.name for line in list_jobs(workshop)] == ["kolben", "snipe", "greylag", "bittern"]
    line = list_jobs(workshop, "bittern")[0]
    assert (line.owner, line.engine, line.day, line.threads) == ("A. Fenwright", "Bittern", "2026-03-14", ("5/16x32",))
    assert line.parts == ("check_valve: check valve, right-hand feed clack",)


def test_the_list_follows_save_undo_and_redo(workshop: Workshop) -> None:
    _start(workshop)
    documents.save(workshop, "job", "bittern", SECOND, 1, "bench")
    assert len(list_jobs(workshop, "again")) == 1
    documents.undo(workshop, "job", "bittern", 2, "bench")
    assert list_jobs(workshop, "again") == ()
    documents.redo(workshop, "job", "bittern", 1, "bench")
    assert len(list_jobs(workshop, "again")) == 1


def test_a_photograph_is_kept_once_under_its_hash(workshop: Workshop) -> None:
    _start(workshop)
    _start(workshop, "greylag")
    for job in ("bittern", "greylag", "bittern"):
        picture = add_picture(workshop, job, "front.jpg", jpeg(), "tablet")
        assert picture.sha256 == sha256(jpeg()).hexdigest()
    kept = [path for path in (workshop.folder / "photographs").rglob("*") if path.is_file()]
    assert kept == [picture_path(workshop, picture.sha256)]
    assert kept[0].name == picture.sha256 and kept[0].parent.name == picture.sha256[:2]
    assert kept[0].read_bytes() == jpeg()
    with pytest.raises(Taken, match="never written over"):
        add_picture(workshop, "bittern", "front.jpg", jpeg(grey=10), "tablet")
    with pytest.raises(Taken):
        add_picture(workshop, "bittern", "FRONT.JPG", jpeg(grey=10), "tablet")
    assert [each.file for each in pictures_of(workshop, "bittern")] == ["front.jpg"]
    small = copy_path(workshop, picture, 320).read_bytes()
    assert small.startswith(b"\xff\xd8") and len(small) < len(jpeg())
