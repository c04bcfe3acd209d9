"""Backup and restore by the commands, on both databases: equal by hash, while people work, taken up again."""

import json
import shutil
import threading
import uuid

import pytest

from tests.recordings.backup.conftest import GROUNDS

pytestmark = pytest.mark.slow
both = pytest.mark.parametrize("places", GROUNDS, indirect=True)
embedded = pytest.mark.parametrize("places", ["embedded"], indirect=True)
WELL = "Every take has its sound, and every sound its take."


def well(done) -> str:
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def first_sound(place) -> str:
    return place.ask("SELECT sound FROM recordings_take ORDER BY id LIMIT 1")[0][0]


@both
def test_what_is_restored_is_what_was_kept(places, tmp_path):
    used, empty = places
    kept, key = tmp_path / "kept", tmp_path / "elsewhere" / "key"
    said = well(used.run("backup", kept, "--key", key))
    assert f"{len(used.sounds())} files" in said
    assert key.read_text() not in "".join(path.name for path in kept.rglob("*"))

    refused = empty.run("restore", kept)
    assert "made with another SECRET_KEY" in refused.stderr
    assert not empty.sounds()
    assert WELL in well(empty.run("restore", kept, "--key", key))
    assert empty.rows() == used.rows()
    assert empty.sounds() == used.sounds()
    assert (empty.data / "secret_key").read_text() == (used.data / "secret_key").read_text()
    assert (empty.data / "secret_key").stat().st_mode & 0o077 == 0

    over = empty.run("restore", kept, "--key", key)
    assert over.returncode
    assert "is not empty" in over.stderr


@both
def test_a_backup_taken_while_takes_come_and_go_has_the_sound_of_every_row(places, tmp_path):
    used, empty = places
    kept, ended = tmp_path / "kept", threading.Event()
    columns = used.ask("SELECT entry_id, requirement_id, uploaded_at, size FROM recordings_take LIMIT 1")[0]
    came = []

    def work() -> None:
        body = b"a new sound"
        while not ended.is_set() and len(came) < 3000:
            name = f"takes/2026/11/{uuid.uuid4().hex}"
            used.sound(name).parent.mkdir(parents=True, exist_ok=True)
            used.sound(name).write_bytes(body)
            used.do(
                "INSERT INTO recordings_take (entry_id, requirement_id, uploaded_at, sound, sha256, size, "
                "media_type, original_name, sound_state) VALUES "
                f"({columns[0]}, {columns[1]}, '{columns[2]}', '{name}', '{uuid.uuid4().hex}', "
                f"{len(body)}, 'audio/wav', '', 'whole')"
            )
            came.append(name)
            if len(came) % 3 == 0:
                gone = came[-2]
                used.do(f"DELETE FROM recordings_take WHERE sound = '{gone}'")
                used.sound(gone).unlink()

    worker = threading.Thread(target=work)
    worker.start()
    done = used.run("backup", kept)
    ended.set()
    worker.join()
    assert len(came) > 10
    # The made takes' hashes are made up, so it says they are not what was handed in; none lacks its file.
    assert "is not what was handed in" in done.stdout
    assert "has no file to keep" not in done.stdout
    empty.run("restore", kept, "--other-key")
    names = {name for (name,) in empty.ask("SELECT sound FROM recordings_take")}
    assert names - set(empty.sounds()) == set()
    assert len(names) > len(used.ask("SELECT 1 FROM recordings_take WHERE media_type <> 'audio/wav'"))


@embedded
def test_broken_off_it_is_no_backup_and_goes_on_where_it_stopped(places, tmp_path):
    used, empty = places
    kept = tmp_path / "kept"
    well(used.run("backup", kept))
    (kept / "manifest.json").unlink()
    lost = kept / "files" / first_sound(used)
    lost.rename(lost.with_name(f"{lost.name}.unfinished"))
    assert "no finished backup" in empty.run("restore", kept, "--other-key").stderr
    copies = {path: path.stat().st_ino for path in (kept / "files").rglob("*") if path.is_file()}
    well(used.run("backup", kept))
    again = {path: path.stat().st_ino for path in (kept / "files").rglob("*") if path.is_file()}
    assert {path for path, number in again.items() if copies.get(path) != number} == {lost}
    assert WELL in well(empty.run("restore", kept, "--other-key"))
    assert empty.sounds() == used.sounds()


@embedded
def test_a_deleted_sound_leaves_the_backup_and_one_that_was_lost_stays(places, tmp_path):
    used, _empty = places
    kept = tmp_path / "kept"
    well(used.run("backup", kept))
    lost = first_sound(used)
    used.sound(lost).unlink()
    stray = "takes/2026/11/stray"
    used.sound(stray).parent.mkdir(parents=True, exist_ok=True)
    used.sound(stray).write_bytes(b"on its way")
    well(used.run("backup", kept))
    assert (kept / "files" / lost).exists()
    assert (kept / "files" / stray).exists()
    used.sound(stray).unlink()
    well(used.run("backup", kept))
    assert not (kept / "files" / stray).exists()
    assert len(list(kept.glob("database-*"))) == 1


@embedded
def test_a_restore_broken_off_is_taken_up_again(places, tmp_path):
    used, empty = places
    kept = tmp_path / "kept"
    well(used.run("backup", kept))
    half = first_sound(used)
    empty.sound(half).parent.mkdir(parents=True)
    shutil.copy(used.sound(half), empty.sound(half))
    there = empty.sound(half).stat().st_ino
    assert WELL in well(empty.run("restore", kept, "--other-key"))
    assert empty.sound(half).stat().st_ino == there
    assert empty.rows() == used.rows()


@embedded
def test_a_take_deleted_amid_the_backup_stays_deleted_and_a_lost_sound_takes_no_row_along(places, tmp_path):
    used, empty = places
    kept = tmp_path / "kept"
    (lost, lost_name), (deleted, deleted_name) = used.ask("SELECT id, sound FROM recordings_take LIMIT 2")
    used.sound(lost_name).unlink()
    assert f"take {lost} has no file to keep" in used.run("backup", kept).stdout
    # As it is left where the row went after the database was copied and before its sound was.
    manifest = json.loads((kept / "manifest.json").read_text())
    assert manifest["lost"] == [lost_name]
    del manifest["files"][deleted_name]
    (kept / "files" / deleted_name).unlink()
    (kept / "manifest.json").write_text(json.dumps(manifest))
    done = empty.run("restore", kept, "--other-key")
    assert "1 takes were deleted while the backup was taken" in done.stdout
    assert f"take {lost}: its sound is missing." in done.stdout
    there = {pk for (pk,) in empty.ask("SELECT id FROM recordings_take")}
    assert {pk for (pk,) in used.ask("SELECT id FROM recordings_take")} - there == {deleted}


@embedded
def test_each_damage_is_named(places, tmp_path):
    used, empty = places
    kept = tmp_path / "kept"
    names = dict(used.ask("SELECT id, sound FROM recordings_take ORDER BY id LIMIT 3"))
    (gone, gone_name), (spoiled, spoiled_name), (other, other_name) = names.items()
    well(used.run("backup", kept))
    (kept / "files" / gone_name).unlink()
    (kept / "files" / spoiled_name).write_bytes(b"spoiled")
    for name in (other_name, "takes/2026/11/stray"):
        empty.sound(name).parent.mkdir(parents=True, exist_ok=True)
        empty.sound(name).write_bytes(b"something else")
    done = empty.run("restore", kept, "--other-key")
    assert done.returncode
    for sentence in (
        f"{gone_name} is not in the backup.",
        f"{spoiled_name} is damaged in the backup.",
        f"{other_name} lies there with other bytes and was left as it is.",
        f"take {gone}: its sound is missing.",
        f"take {spoiled}: its sound is missing.",
        f"take {other}: its sound is not what was handed in.",
        "takes/2026/11/stray: no take has this sound.",
    ):
        assert sentence in done.stdout
    assert empty.sound(other_name).read_bytes() == b"something else"
    assert len(empty.ask("SELECT 1 FROM recordings_take WHERE sound_state <> 'whole'")) == 3


@embedded
def test_the_folder_of_something_else_and_one_among_the_sounds_are_refused(places, tmp_path):
    used, _empty = places
    (tmp_path / "papers").mkdir()
    (tmp_path / "papers" / "letter.txt").write_text("mine")
    assert "holds something else" in used.run("backup", tmp_path / "papers").stderr
    assert "among the sounds" in used.run("backup", used.data / "media" / "kept").stderr
    inside = used.run("backup", tmp_path / "kept", "--key", tmp_path / "kept" / "key")
    assert "must not lie in the backup itself" in inside.stderr


@embedded
def test_a_sealed_backup_by_the_commands(places, tmp_path):
    used, empty = places
    kept, keys = tmp_path / "kept", (tmp_path / "keys" / "secret", tmp_path / "keys" / "backup")
    options = ["--key", keys[0], "--encrypt", keys[1]]
    assert used.run("backup", kept, *options).returncode == 0
    files = {path: path.read_bytes() for path in kept.rglob("*") if path.is_file()}
    everything = b"".join(files.values())
    [(name,)] = used.ask("SELECT name FROM studio_student LIMIT 1")
    for trace in (name.encode(), b"SQLite format", *(data[:40] for data in used.sounds().values())):
        assert trace not in everything
    refused = empty.run("restore", kept, "--key", keys[0])
    assert "are sealed" in refused.stderr
    done = empty.run("restore", kept, *options)
    assert done.returncode == 0, done.stdout + done.stderr
    assert empty.rows() == used.rows()
    assert empty.sounds() == used.sounds()
