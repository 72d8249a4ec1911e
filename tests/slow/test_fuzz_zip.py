"""Evidence packages spoiled at random: told as changed or refused, never taken for the book, never unpacked."""

from __future__ import annotations

import io
import zipfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.seal.holder import CannotJudge
from buildbook.seal.verify import verify
from tests.seal.test_verify_zip import package
from tests.slow.test_fuzz_records import within_bounds

pytestmark = pytest.mark.slow
FILES = package()


def sound() -> bytes:
    """The small synthetic package, some of it packed."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        for number, (name, data) in enumerate(FILES.items()):
            archive.writestr(name, data, zipfile.ZIP_DEFLATED if number % 2 else zipfile.ZIP_STORED)
    return made.getvalue()


SOUND = sound()


def members(data: bytes) -> dict[str, bytes] | None:
    """What another reader takes out of it, None where it cannot."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return {name: archive.read(name) for name in archive.namelist()}
    except Exception:
        return None


@settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_a_spoiled_package(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    spoiled = SOUND
    for _ in range(data.draw(st.integers(1, 3))):
        start = data.draw(st.integers(0, len(spoiled) - 1))
        length = data.draw(st.one_of(st.integers(0, 4), st.integers(0, 200)))
        put = data.draw(
            st.one_of(
                st.binary(max_size=8),
                st.sampled_from([b"\xff\xff\xff\xff", b"\xff\xff\xff\x7f", b"../../a", b"\0", b"\x63"]),
                st.just(spoiled[start : start + length] * 2),
            )
        )
        spoiled = spoiled[:start] + put + spoiled[start + length :]
    folder = tmp_path_factory.mktemp("package")
    path = folder / "XX-1-evidence.zip"
    path.write_bytes(spoiled)
    judged, refused = None, ""
    with within_bounds():
        try:
            judged = verify(path)
        except CannotJudge as stopped:
            refused = str(stopped)
    assert [path.name for path in folder.iterdir()] == ["XX-1-evidence.zip"]
    if judged is None:
        assert refused
    elif not judged.bad and not judged.unreadable:
        assert members(spoiled) == FILES, "what is called the same is the same"


def test_the_sound_one_is_the_same(tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("package") / "XX-1-evidence.zip"
    path.write_bytes(SOUND)
    assert not verify(path).bad
    assert members(SOUND) == FILES
