"""The package finds its templates and fonts however it was installed; the lock names public addresses only."""

import re
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest

import buildbook
from buildbook.edition import program_sum
from buildbook.render.templates import fonts_dir, templates_dir
from tests.installing import distributions, new_prefix, pip_install, run

ROOT = Path(__file__).resolve().parent.parent

# The registry that everybody reaches, and the host on which it keeps its files.
PUBLIC_ADDRESSES = ("https://pypi.org/simple", "https://files.pythonhosted.org/packages/")

# A program that says which package it runs and where that finds its templates and fonts.
WHERE = """
import buildbook
from buildbook.render.templates import fonts_dir, templates_dir
print(buildbook.__file__, templates_dir(), len(list(fonts_dir().glob("*.woff2"))), sep="\\n")
"""


def files_below(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder with the wheel and the sdist, built without network by the locked hatchling."""
    return distributions(tmp_path_factory.mktemp("built"))


@pytest.fixture(scope="module")
def unpacked(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sdist, unpacked."""
    folder = tmp_path_factory.mktemp("unpacked")
    with tarfile.open(next(built.glob("*.tar.gz"))) as archive:
        archive.extractall(folder, filter="data")
    (top,) = folder.iterdir()
    return top


@pytest.fixture(scope="module")
def wheel_python(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Python of another environment into which the wheel was installed."""
    python = new_prefix(tmp_path_factory.mktemp("wheel"))
    pip_install(python, next(built.glob("*.whl")))
    return python


def test_version_is_the_same_in_package_and_project() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["project"]["version"] == buildbook.__version__


def test_lock_names_public_addresses_only() -> None:
    text = (ROOT / "uv.lock").read_text(encoding="utf-8")
    addresses = re.findall(r"[a-z+]+://[^\s\"']+", text)
    assert len(addresses) > 100
    assert [address for address in addresses if not address.startswith(PUBLIC_ADDRESSES)] == []


def test_lock_takes_packages_from_the_registry_only_and_with_their_hashes() -> None:
    lock = tomllib.loads((ROOT / "uv.lock").read_text(encoding="utf-8"))
    own = [package["name"] for package in lock["package"] if "registry" not in package["source"]]
    assert own == ["buildbook"]
    for package in lock["package"]:
        files = [package["sdist"]] if "sdist" in package else []
        files += package.get("wheels", [])
        assert files or package["name"] == "buildbook", package["name"]
        assert all(file["hash"].startswith("sha256:") for file in files), package["name"]


def test_checkout_reads_the_templates_that_people_edit() -> None:
    assert templates_dir() == ROOT / "templates"
    assert fonts_dir() == ROOT / "templates" / "theme" / "fonts"


def test_folder_inside_the_package_comes_first(tmp_path: Path) -> None:
    package = tmp_path / "buildbook"
    (tmp_path / "templates").mkdir()
    package.mkdir()
    assert templates_dir(package) == tmp_path / "templates"
    (package / "_templates").mkdir()
    assert templates_dir(package) == package / "_templates"


def test_missing_templates_are_told_with_both_places(tmp_path: Path) -> None:
    package = tmp_path / "buildbook"
    with pytest.raises(FileNotFoundError, match="templates are missing") as caught:
        templates_dir(package)
    assert str(package / "_templates") in str(caught.value)
    assert str(tmp_path / "templates") in str(caught.value)


def test_missing_fonts_are_told_with_their_place(tmp_path: Path) -> None:
    (tmp_path / "templates").mkdir()
    with pytest.raises(FileNotFoundError, match="fonts are missing") as caught:
        fonts_dir(tmp_path / "buildbook")
    assert str(tmp_path / "templates" / "theme" / "fonts") in str(caught.value)


def test_wheel_carries_every_template_and_the_licences(built: Path) -> None:
    with zipfile.ZipFile(next(built.glob("*.whl"))) as archive:
        names = set(archive.namelist())
    templates = {f"buildbook/_templates/{name}" for name in files_below(ROOT / "templates")}
    assert templates - names == set()
    licences = {name.rsplit("/", 1)[1] for name in names if ".dist-info/licenses/" in name}
    assert licences == {"LICENSE", "OFL-IBMPlexSans.txt", "OFL-IBMPlexSerif.txt"}


def test_wheel_carries_every_module_and_data_file_of_the_package(built: Path) -> None:
    with zipfile.ZipFile(next(built.glob("*.whl"))) as archive:
        names = set(archive.namelist())
    wanted = {f"buildbook/{name}" for name in files_below(ROOT / "buildbook") if "__pycache__" not in name}
    assert wanted - names == set()


def test_sdist_carries_every_template(unpacked: Path) -> None:
    assert files_below(unpacked / "templates") == files_below(ROOT / "templates")


def test_installed_wheel_finds_its_templates(wheel_python: Path, tmp_path: Path) -> None:
    module, templates, fonts = run(wheel_python, "-c", WHERE, cwd=tmp_path).splitlines()
    assert Path(module).is_relative_to(wheel_python.parent.parent)
    assert Path(templates) == Path(module).parent / "_templates"
    assert fonts == "6"


def test_installed_wheel_and_checkout_have_one_sum(wheel_python: Path, tmp_path: Path) -> None:
    """By it `verify` knows which program wrote a book."""
    asked = "from buildbook.edition import SUM, edition; print(dict(edition())[SUM])"
    assert run(wheel_python, "-c", asked, cwd=tmp_path).strip() == program_sum(ROOT / "buildbook", ROOT / "templates")


@pytest.mark.slow
def test_wheel_made_from_the_sdist_finds_its_templates(unpacked: Path, tmp_path: Path) -> None:
    python = new_prefix(tmp_path / "prefix")
    pip_install(python, unpacked)
    module, templates, fonts = run(python, "-c", WHERE, cwd=tmp_path).splitlines()
    assert Path(module).is_relative_to(tmp_path / "prefix")
    assert Path(templates) == Path(module).parent / "_templates"
    assert fonts == "6"


@pytest.mark.slow
def test_editable_install_finds_the_templates_of_its_checkout(unpacked: Path, tmp_path: Path) -> None:
    python = new_prefix(tmp_path / "prefix")
    pip_install(python, "--editable", unpacked)
    module, templates, fonts = run(python, "-c", WHERE, cwd=tmp_path).splitlines()
    assert Path(module) == unpacked / "buildbook" / "__init__.py"
    assert Path(templates) == unpacked / "templates"
    assert fonts == "6"
