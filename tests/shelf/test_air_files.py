"""The air on disk, the settings, what feeds the air, the horn, the anchor, and what batches taught."""

from __future__ import annotations

import json
import sys
import time
import tomllib
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from datetime import time as wall_time
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.build import changes, cure_age
from workshop.build.air import Reading
from workshop.build.blade import Blade
from workshop.build.day import Span
from workshop.build.timekeeping import Happened, judge
from workshop.errors import ShopError
from workshop.shelf import air_feed, air_keeping, anchor_file, durable, outside
from workshop.shelf.air_file import air_bytes, parse_reading, read_air, with_reading
from workshop.shelf.laptop_file import Laptop, read_laptop
from workshop.shelf.settings import Settings
from workshop.shelf.shelf import Shelf
from workshop.shelf.shop_file import Shop, read_shop, shop_bytes
from workshop.shelf.table import FileFault, parse_toml

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def C(celsius: float) -> float:
    return celsius + 273.15


def back(readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    return read_air(*parse_toml(air_bytes(readings), "air.toml"))


# -- the record


@given(
    st.lists(
        st.tuples(st.integers(1, 5000), st.integers(-300, 500), st.none() | st.integers(0, 100)), max_size=30
    )
)
def test_the_record_comes_back_from_its_file(steps: list[tuple[int, int, int | None]]) -> None:
    at, readings = NOW, []
    for minutes, tenths, percent in steps:
        at += timedelta(minutes=minutes)
        readings.append(Reading(at, C(tenths / 10), None if percent is None else percent / 100))
    found = back(tuple(readings))
    assert [one.at for one in found] == [one.at for one in readings]
    for one, other in zip(found, readings, strict=True):
        assert one.air_K == pytest.approx(other.air_K, abs=1e-6)
        assert one.humidity == pytest.approx(other.humidity)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("readings = 5", "not a list"),
        ('readings = [["x", "17 °C"]]', "no reading"),
        ('readings = [[2026-03-01T09:00:00, "17 °C"]]', "time zone"),
        ("readings = [[2026-03-01T09:00:00Z, 17]]", "temperature"),
        ('readings = [[2026-03-01T09:00:00Z, "17 g"]]', "17 g"),
        ("schema = 9", "schema"),
    ],
)
def test_a_record_that_makes_no_sense_is_one_sentence(text: str, says: str) -> None:
    with pytest.raises(FileFault, match=says):
        read_air(*parse_toml(text.encode(), "air.toml"))


def test_a_steady_air_does_not_fill_the_disk_and_a_change_is_kept() -> None:
    readings: tuple[Reading, ...] = ()
    for minute in range(0, 600, 5):
        readings = with_reading(readings, Reading(NOW + timedelta(minutes=minute), C(17.5), 0.61))
    assert len(readings) <= 45
    assert readings[-1].at == NOW + timedelta(minutes=595)
    changed = with_reading(readings, Reading(NOW + timedelta(minutes=600), C(14), 0.61))
    assert len(changed) == len(readings) + 1


def test_two_months_of_a_thermometer_every_five_minutes_stay_small() -> None:
    readings: tuple[Reading, ...] = ()
    for number in range(4000):
        celsius = 15 + 5 * (number % 288 > 100) + number % 7
        readings = with_reading(readings, Reading(NOW + timedelta(minutes=20 * number), C(celsius)))
    assert len(air_bytes(readings)) < 200_000
    assert all(one.at < other.at for one, other in pairwise(readings))


# -- what is read


@pytest.mark.parametrize(
    ("text", "celsius", "percent"),
    [
        ("17.5C 61%", 17.5, 61),
        ("17.5 °C, 61 %\n", 17.5, 61),
        ("noise\n\n12.0 55\n", 12, 55),
        ("-3.5C", -3.5, None),
        ("64.4F 40%", 18, 40),
    ],
)
def test_what_a_thermometer_says_is_understood(text: str, celsius: float, percent: float | None) -> None:
    air_K, humidity = parse_reading(text)
    assert air_K == pytest.approx(C(celsius))
    assert humidity == pytest.approx(None if percent is None else percent / 100)


@pytest.mark.parametrize("text", ["", "warm", "17.5C wet", "85C", "-127C", "17.5C 250%", "\x1b[31m"])
def test_what_is_no_reading_is_refused(text: str) -> None:
    with pytest.raises(ShopError):
        parse_reading(text)


def test_a_file_feeds_the_air(tmp_path: Path) -> None:
    source = tmp_path / "thermo"
    source.write_text("18.0C 50%\n19.5C 48%\n", encoding="utf-8")
    assert air_feed.read_feed(Laptop(air_file=str(source))) == (pytest.approx(C(19.5)), pytest.approx(0.48))
    with pytest.raises(ShopError, match="no plain file"):
        air_feed.read_feed(Laptop(air_file=str(tmp_path)))
    assert air_feed.read_feed(Laptop()) is None


def test_a_command_feeds_the_air_without_a_shell() -> None:
    command = (sys.executable, "-c", "print('16.5C 70%')")
    assert air_feed.read_feed(Laptop(air_command=command)) == (pytest.approx(C(16.5)), pytest.approx(0.7))
    with pytest.raises(ShopError):
        air_feed.read_feed(Laptop(air_command=("echo 16.5C",)))  # no shell: there is no such program


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("/nowhere/horn",), "No such file"),
        ((sys.executable, "-c", "raise SystemExit(3)"), "failed with 3"),
        ((), "No command"),
    ],
)
def test_a_horn_that_fails_is_one_sentence(words: tuple[str, ...], says: str) -> None:
    with pytest.raises(ShopError, match=says):
        outside.run_named(words, "The horn")


def test_a_horn_that_hangs_is_ended_with_all_it_started() -> None:
    child = "import subprocess, sys; subprocess.run([sys.executable, '-c', 'import time; time.sleep(60)'])"
    begun = time.monotonic()
    with pytest.raises(ShopError, match="took over"):
        outside.run_named((sys.executable, "-c", child), "The horn", longest_s=0.3)
    assert time.monotonic() - begun < 5


def test_the_horn_is_told_what_calls_as_one_word(tmp_path: Path) -> None:
    out = tmp_path / "heard"
    write = "import json, sys; open(sys.argv[1], 'w').write(json.dumps(sys.argv[2:]))"
    outside.sound_horn((sys.executable, "-c", write, str(out)), "Heron: pull; rm -rf \x1b[0m")
    heard = json.loads(out.read_text(encoding="utf-8"))
    assert len(heard) == 1
    assert heard[0].startswith("Heron: pull; rm -rf")
    assert "\x1b" not in heard[0]


# -- the settings

SETTINGS = """
[hours]
monday = "08:00 to 18:00"
saturday = "9:00-13:00"
sunday = "off"
sleep = "22:30 to 06:30"
days = { "2026-12-24" = "off", "2026-03-08" = "10:00 to 12:00" }
[night]
temperature = "12.5 °C"
[warn]
early = "15 min"
"""
LAPTOP = """
[horn]
command = ["/usr/bin/horn", "--loud"]
[air]
file = "/run/thermo"
every = "2 min"
"""


def shop_of(text: str) -> Shop:
    return read_shop(*parse_toml(text.encode(), "shop.toml"))


def test_the_settings_are_read_and_written_back_as_they_stand() -> None:
    shop = shop_of(SETTINGS)
    made = shop.settings
    assert made.hours.week == {
        0: Span(wall_time(8), wall_time(18)),
        5: Span(wall_time(9), wall_time(13)),
    }
    assert made.hours.sleep == Span(wall_time(22, 30), wall_time(6, 30))
    assert made.hours.exceptions[date(2026, 12, 24)] is None
    assert made.night_K == pytest.approx(C(12.5))
    assert made.early_s == 900
    again = read_shop(*parse_toml(shop_bytes(shop), "shop.toml"))
    assert again.settings == made


def test_nothing_set_is_fine() -> None:
    assert shop_of("").settings == Settings()


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"08:00 to 18:00"', '"8 to 6"', "monday"),
        ('"08:00 to 18:00"', '"25:00 to 26:00"', "monday"),
        ('"08:00 to 18:00"', '"08:00 to 08:00"', "begins and ends"),
        ("monday", "mondey", "mondey"),
        ('"2026-12-24"', '"24 December"', "not a date"),
        ('"12.5 °C"', '"12.5"', "temperature"),
        ('"15 min"', '"15 g"', "early"),
    ],
)
def test_a_mistake_in_the_settings_is_one_sentence(old: str, new: str, says: str) -> None:
    assert old in SETTINGS
    with pytest.raises(FileFault, match=says) as caught:
        shop_of(SETTINGS.replace(old, new, 1))
    assert "shop.toml" in str(caught.value)


def laptop_of(text: str) -> Laptop:
    return read_laptop(*parse_toml(text.encode(), "laptop.toml"))


def test_what_stands_beside_the_laptop_is_read() -> None:
    assert laptop_of(LAPTOP) == Laptop(("/usr/bin/horn", "--loud"), "/run/thermo", (), 120)
    assert laptop_of("") == Laptop()


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('["/usr/bin/horn", "--loud"]', '"horn --loud"', "command"),
        ("[horn]", "[hron]", "hron"),
        ('every = "2 min"', 'every = "1 s"', "every"),
        ('every = "2 min"', 'command = ["x"]', "one of the two"),
    ],
)
def test_a_mistake_beside_the_laptop_is_one_sentence(old: str, new: str, says: str) -> None:
    assert old in LAPTOP
    with pytest.raises(FileFault, match=says) as caught:
        laptop_of(LAPTOP.replace(old, new, 1))
    assert "laptop.toml" in str(caught.value)


def test_the_laptop_s_file_is_read_again_and_a_slip_of_the_pen_is_shown(tmp_path: Path) -> None:
    file = tmp_path / "laptop.toml"
    shelf = Shelf(tmp_path / "shelf", (), laptop=file)
    assert shelf.laptop() == Laptop()
    file.write_text(LAPTOP, encoding="utf-8")
    assert shelf.laptop().horn == ("/usr/bin/horn", "--loud")
    file.write_text('[horn]\ncommand = "one text"\n', encoding="utf-8")
    assert shelf.laptop().horn == ("/usr/bin/horn", "--loud")
    (bad,) = shelf.blades()[1]
    assert str(file) in bad.why
    assert bad.data(shelf.path(bad.key))["file"] == str(file)
    file.unlink()
    assert shelf.laptop() == Laptop()
    assert shelf.blades()[1] == []


def test_a_laptop_s_file_that_lies_on_the_shelf_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "laptop.toml").write_text(LAPTOP, encoding="utf-8")
    shelf = Shelf(tmp_path, (), laptop=tmp_path / "laptop.toml")
    assert shelf.laptop() == Laptop()
    assert "lies on the shelf and is not followed" in next(
        one.why for one in shelf.blades()[1] if one.kind == "own"
    )


def test_what_a_shelf_may_not_name_is_shown_and_kept_as_it_stands(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path / "shelf", (), laptop=tmp_path / "laptop.toml")
    shelf.prepare()
    path = shelf.folder / "shop.toml"
    path.write_text(LAPTOP, encoding="utf-8")
    (bad,) = shelf.blades()[1]
    assert bad.says() == (
        "shop: [horn] and [air] file and [air] every are not followed on a shelf; "
        f"right would be the same lines in {tmp_path / 'laptop.toml'}."
    )
    shelf.keep_shop(lambda shop: replace(shop, air_K=C(17)))
    kept = tomllib.loads(path.read_text(encoding="utf-8"))
    assert kept["horn"] == {"command": ["/usr/bin/horn", "--loud"]}
    assert kept["air"] == {"temperature": "17 °C", "file": "/run/thermo", "every": "2 min"}
    assert shelf.laptop() == Laptop()


# -- on the shelf


@pytest.fixture
def bedded(shelf: Shelf, blade: Blade) -> tuple[Shelf, str]:
    entry = shelf.clock_entries()["adhesives/slow"]
    air_keeping.keep_reading(shelf, NOW, C(18), 0.5)
    shelf.change(
        blade.key,
        lambda one: changes.start_clock(
            one, "H1", "bedding", NOW, entry=entry, air=air_keeping.air_of(shelf)
        ),
    )
    return shelf, blade.key


def test_a_reading_is_on_disk_and_moves_every_running_clock(bedded: tuple[Shelf, str]) -> None:
    shelf, key = bedded
    before = shelf.blade(key).clocks["bedding-1"]
    (moved,) = air_keeping.keep_reading(shelf, NOW + timedelta(hours=3), C(13))
    after = shelf.blade(key).clocks["bedding-1"]
    assert moved.clocks["bedding-1"] == after
    old, new = before.mark("pull"), after.mark("pull")
    assert old is not None
    assert new is not None
    assert new.opens > old.opens + timedelta(hours=1)
    assert len(air_keeping.readings_of(shelf)) == 2
    assert shelf.shop().air_K == pytest.approx(C(13))
    assert air_keeping.keep_reading(shelf, NOW + timedelta(hours=3, minutes=1), C(13)) == []


def test_a_night_set_later_moves_the_clocks_too(bedded: tuple[Shelf, str]) -> None:
    shelf, key = bedded
    assert air_keeping.rework_all(shelf, NOW) == []
    before = shelf.blade(key).clocks["bedding-1"].mark("pull")
    (shelf.folder / "shop.toml").write_text(
        '[hours]\nmonday = "08:00 to 11:00"\n[night]\ntemperature = "13 °C"\n', encoding="utf-8"
    )
    assert [one.key for one in air_keeping.rework_all(shelf, NOW)] == [key]
    after = shelf.blade(key).clocks["bedding-1"].mark("pull")
    assert before is not None
    assert after is not None
    assert after.opens > before.opens


def test_a_store_changed_later_never_changes_a_running_clock(bedded: tuple[Shelf, str]) -> None:
    shelf, key = bedded
    before = shelf.blade(key).clocks["bedding-1"]
    stores = shelf.folder / "stores"
    stores.mkdir()
    text = (shelf.recipes / "stores" / "adhesives.toml").read_text(encoding="utf-8")
    (stores / "adhesives.toml").write_text(text.replace("52 kJ/mol", "90 kJ/mol"), encoding="utf-8")
    again = Shelf(shelf.folder, ["slot-fill"])
    assert again.blade(key).clocks["bedding-1"].rule == before.rule
    assert air_keeping.rework_all(again, NOW + timedelta(minutes=1)) == []


def test_a_broken_record_is_left_and_clocks_go_on(bedded: tuple[Shelf, str]) -> None:
    shelf, _ = bedded
    path = shelf.folder / "air.toml"
    path.write_text("readings = [", encoding="utf-8")
    assert air_keeping.air_of(shelf).readings != ()  # the last reading is also in the shop's file
    with pytest.raises(FileFault):
        air_keeping.keep_reading(shelf, NOW + timedelta(hours=1), C(15))
    assert path.read_text(encoding="utf-8") == "readings = ["


def test_the_shop_s_own_files_are_no_blades(bedded: tuple[Shelf, str]) -> None:
    shelf, key = bedded
    (shelf.folder / "anchor.toml").write_text("utc = 2026-03-02T09:00:00Z", encoding="utf-8")
    air_keeping.press_witness(shelf, key, "bedding-1", "dents", NOW + timedelta(hours=4))
    assert {"air.toml", "learned.toml", "shop.toml"} <= {path.name for path in shelf.folder.iterdir()}
    assert shelf.keys() == [key]
    assert shelf.blades()[1] == []


def test_a_press_teaches_the_next_batch(bedded: tuple[Shelf, str]) -> None:
    shelf, key = bedded
    entry = shelf.clock_entries()["adhesives/slow"]
    assert air_keeping.batch_for(shelf, entry).pace == 1
    now = NOW + timedelta(hours=4)
    blade = air_keeping.press_witness(shelf, key, "bedding-1", "dents", now)
    pace = blade.clocks["bedding-1"].quick
    assert pace > 1
    assert "times as quick" in blade.log[-1].says
    assert air_keeping.batch_for(shelf, entry, mass_kg=0.02).pace == pytest.approx(pace)
    assert air_keeping.learned_of(shelf, entry.key) == cure_age.Learned(pace, pace, pace, 1)
    air_keeping.press_witness(shelf, key, "bedding-1", "dents", now + timedelta(hours=1))
    assert air_keeping.learned_of(shelf, entry.key).batches == 1
    (shelf.folder / "learned.toml").write_text("batch = 7", encoding="utf-8")
    assert air_keeping.learned_of(shelf, entry.key).batches == 0
    air_keeping.press_witness(shelf, key, "bedding-1", "dents", now + timedelta(hours=2))
    assert (shelf.folder / "learned.toml").read_text(encoding="utf-8") == "batch = 7"


def test_the_anchor_comes_back_and_this_machine_is_steady(shelf: Shelf, laptop: Path) -> None:
    mine = Shelf(shelf.folder, shelf.calculators, laptop=laptop)
    assert anchor_file.kept_anchor(mine) is None
    anchor = anchor_file.present_anchor()
    anchor_file.keep_anchor(mine, anchor)
    kept = anchor_file.kept_anchor(mine)
    assert kept is not None
    assert kept.utc == anchor.utc
    assert judge(kept, anchor_file.present_anchor()).happened is Happened.STEADY
    path = anchor_file.anchor_path(mine)
    assert path is not None
    path.write_text("utc = 5", encoding="utf-8")
    assert anchor_file.kept_anchor(mine) is None
    path.write_text("utc = 2026-03-02T09:00:00Z", encoding="utf-8")  # no clock beside it
    assert anchor_file.kept_anchor(mine) is None


def test_the_clocks_of_one_laptop_say_nothing_to_another(
    shelf: Shelf, laptop: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """They lie beside the laptop's file, one for each shelf, so nothing carries them."""
    mine = Shelf(shelf.folder, shelf.calculators, laptop=laptop)
    (shelf.folder / "anchor.toml").write_text("utc = 2026-03-02T09:00:00Z", encoding="utf-8")
    anchor_file.keep_anchor(mine, anchor_file.present_anchor())
    assert [one.name for one in shelf.folder.glob("*anchor*")] == []
    other = Shelf(shelf.folder, shelf.calculators, laptop=tmp_path_factory.mktemp("other") / "laptop.toml")
    assert anchor_file.kept_anchor(other) is None
    deep = tmp_path_factory.mktemp("home") / "config" / "companion" / "laptop.toml"
    anchor_file.keep_anchor(Shelf(shelf.folder, (), laptop=deep), anchor_file.present_anchor())
    assert {deep.parent.stat().st_mode & 0o777, deep.parent.parent.stat().st_mode & 0o777} == {0o700}
    another = Shelf(tmp_path_factory.mktemp("shelf"), shelf.calculators, laptop=laptop)
    assert anchor_file.kept_anchor(another) is None
    on_shelf = Shelf(shelf.folder, shelf.calculators, laptop=shelf.folder / "laptop.toml")
    anchor_file.keep_anchor(on_shelf, anchor_file.present_anchor())
    assert list(shelf.folder.glob("clocks-*")) == []


def test_a_reading_shows_though_the_shop_s_file_is_broken_and_a_broken_record_is_told(shelf: Shelf) -> None:
    air_keeping.keep_reading(shelf, NOW, C(15))
    (shelf.folder / "shop.toml").write_text("[air", encoding="utf-8")
    air_keeping.keep_reading(shelf, NOW + timedelta(hours=1), C(17), 0.5)
    fresh = Shelf(shelf.folder, shelf.calculators)
    assert fresh.shop().air_K == pytest.approx(C(17))
    assert fresh.shop().read_at == NOW + timedelta(hours=1)
    (shelf.folder / "air.toml").write_text("readings = 5", encoding="utf-8")
    assert [one.key for one in fresh.blades()[1]] == ["air", "shop"]


def test_what_a_maker_wrote_into_the_record_and_what_was_learned_stays(bedded: tuple[Shelf, str]) -> None:
    shelf, key = bedded
    air_keeping.keep_reading(shelf, NOW, C(15))
    path = shelf.folder / "air.toml"
    mine = path.read_text(encoding="utf-8").replace('"15 °C"],', '"15 °C"],  # the stove was out', 1)
    path.write_text(f'{mine}thermometer = "by the window"\n# hung up in May\n', encoding="utf-8")
    for hour in range(1, 4):
        air_keeping.keep_reading(shelf, NOW + timedelta(hours=hour), C(15 + hour))
    text = path.read_text(encoding="utf-8")
    assert '[2026-03-02T09:00:00Z, "15 °C"],  # the stove was out\n' in text
    assert 'thermometer = "by the window"\n# hung up in May\n' in text
    assert len(air_keeping.readings_of(shelf)) == 4
    assert list((shelf.folder / "backups" / "air").glob("day-*")), "older texts as a blade has them"

    air_keeping.press_witness(shelf, key, "bedding-1", "dents", NOW + timedelta(hours=4))
    learned = shelf.folder / "learned.toml"
    mine = learned.read_text(encoding="utf-8").replace(
        "[[batch]]\n", '[[batch]]\ncup = "the small one"  # why\n', 1
    )
    learned.write_text(mine, encoding="utf-8")
    air_keeping.press_witness(shelf, key, "bedding-1", "dents", NOW + timedelta(hours=5))
    assert 'cup = "the small one"  # why\n' in learned.read_text(encoding="utf-8")
    assert air_keeping.learned_of(shelf, "adhesives/slow").batches == 1
    learned.write_text("batch = 5", encoding="utf-8")
    assert [one.key for one in shelf.blades()[1]] == ["learned"]


def test_a_reading_takes_nothing_from_what_an_editor_saves_in_the_same_moment(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    air_keeping.keep_reading(shelf, NOW, C(15))
    path, real = shelf.folder / "air.toml", durable._write_new

    def with_an_editor(where: Path, data: bytes, mode: int) -> None:
        real(where, data, mode)
        if where.parent == shelf.folder and "mine" not in path.read_text():
            other = path.with_suffix(".edited")
            other.write_text(path.read_text() + "mine = 1\n")
            other.replace(path)

    monkeypatch.setattr(durable, "_write_new", with_an_editor)
    air_keeping.keep_reading(shelf, NOW + timedelta(hours=1), C(17))
    assert "mine = 1" in path.read_text()
    assert len(air_keeping.readings_of(shelf)) == 2
