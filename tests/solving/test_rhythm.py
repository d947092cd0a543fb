"""The sound of a run, read back from the file: when, on which side, how high, how loud, how big."""

from __future__ import annotations

import io
import itertools
import wave
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from wicketlay import sources
from wicketlay.cli import main
from wicketlay.drills.marks import MarkKind
from wicketlay.errors import UsageError
from wicketlay.export.rhythm import (
    COUNT_S,
    RATE_HZ,
    Beat,
    Pitch,
    alone_text,
    as_wav,
    beats_of,
    layout_of,
    loop_wav,
)
from wicketlay.plan_file import load
from wicketlay.running.athlete import Foot
from wicketlay.solve import solve

LAYOUTS = Path(__file__).parents[2] / "layouts"
START_S = 3 * COUNT_S


def heard(data: bytes) -> np.ndarray:
    """Return the samples of a WAV file, one column a channel, as shares of full scale."""
    with wave.open(io.BytesIO(data)) as file:
        shape = (file.getnchannels(), file.getsampwidth(), file.getframerate())
        assert shape == (2, 2, RATE_HZ)
        raw = file.readframes(file.getnframes())
    return np.frombuffer(raw, "<i2").reshape(-1, 2) / 32768.0


def clicks(sound: np.ndarray) -> np.ndarray:
    """Return the first sample of each click: the first after 20 ms of silence."""
    loud = np.flatnonzero(np.abs(sound).max(axis=1))
    gap = np.diff(loud, prepend=-RATE_HZ)
    return loud[gap > 0.02 * RATE_HZ]


def pitch_hz(sound: np.ndarray, at: int) -> float:
    """Return the pitch of the click that begins at a sample, by its strongest frequency."""
    click = sound[at : at + round(0.03 * RATE_HZ)].sum(axis=1)
    spectrum = np.abs(np.fft.rfft(click, 8 * len(click)))
    return float(np.fft.rfftfreq(8 * len(click), 1 / RATE_HZ)[int(spectrum.argmax())])


@pytest.fixture(scope="module")
def layout():
    """Twelve wickets after 15 steps, one athlete."""
    return layout_of(solve(load(LAYOUTS / "fixed-cadence.toml")), "Joren")[1]


@pytest.mark.parametrize(
    ("plan", "who"),
    [
        ("fixed-cadence.toml", "Joren"),
        ("board-approach.toml", "Joren"),
        ("meadow-accelerations.toml", None),
        ("tuesday-wickets.toml", "Wren"),
    ],
)
def test_clicks_are_the_solved_touchdowns_to_one_sample(plan, who):
    solved = solve(load(LAYOUTS / plan))
    _, layout = layout_of(solved, who or solved.layings[0].athletes[0])
    at = clicks(heard(as_wav(beats_of(layout))))
    assert at[:4] / RATE_HZ == pytest.approx([0.0, COUNT_S, 2 * COUNT_S, START_S], abs=1 / RATE_HZ)
    touchdowns = [START_S + landing.time_s for landing in layout.landings]
    assert len(at) == 4 + len(touchdowns)
    assert at[4:] / RATE_HZ == pytest.approx(touchdowns, abs=1 / RATE_HZ)


def test_left_is_left_and_right_is_right(layout):
    sound = heard(as_wav(beats_of(layout)))
    length = round(0.03 * RATE_HZ)
    at = clicks(sound)[4:]
    for sample, landing in zip(at, layout.landings, strict=True):
        here, there = (0, 1) if landing.foot is Foot.LEFT else (1, 0)
        click = np.abs(sound[sample : sample + length])
        assert click[:, here].max() > 0.3
        assert click[:, there].max() == 0.0


def test_steps_past_wickets_are_as_many_and_higher(layout):
    sound = heard(as_wav(beats_of(layout)))
    heights = [pitch_hz(sound, at) for at in clicks(sound)]
    near = [min(Pitch, key=lambda pitch: abs(pitch.value - hz)) for hz in heights]
    wickets = len(layout.of_kind(MarkKind.WICKET))
    assert near[:4] == [Pitch.COUNT] * 3 + [Pitch.START]
    assert near[4:] == [Pitch.STEP] * layout.run_on_steps + [Pitch.WICKET] * wickets


def test_a_run_to_the_board_sounds_to_the_board():
    layout = layout_of(solve(load(LAYOUTS / "board-approach.toml")), "Joren")[1]
    pitches = [beat.pitch for beat in beats_of(layout)[4:]]
    assert pitches.count(Pitch.WICKET) == len(layout.of_kind(MarkKind.WICKET))
    assert pitches[-1] is Pitch.STEP
    assert layout.landings[-1].along_m == pytest.approx(-0.05, abs=0.005)


def test_it_stays_below_full_scale_and_ends_in_silence(layout):
    sound = heard(as_wav(beats_of(layout)))
    assert 0.5 < np.abs(sound).max() < 0.9
    assert not sound[-round(0.2 * RATE_HZ) :].any()


def test_twelve_steps_and_twelve_wickets_are_under_500_kb():
    plan = load(LAYOUTS / "fixed-cadence.toml")
    drill = replace(plan.drill, run_on_steps=12, run_on_m=None)
    layout = layout_of(solve(replace(plan, drill=drill)), "Joren")[1]
    assert (layout.run_on_steps, len(layout.of_kind(MarkKind.WICKET))) == (12, 12)
    assert len(as_wav(beats_of(layout))) < 500_000


def test_a_loop_is_steady_across_its_seam(layout):
    once = heard(loop_wav(layout, 20.0))
    assert len(once) / RATE_HZ == pytest.approx(20.0, abs=1.0 / layout.cadence_hz)
    at = clicks(np.vstack([once, once, once]))
    assert len(at) % 6 == 0  # pairs of steps, so that left follows right at the seam
    gaps = np.diff(at) / RATE_HZ
    assert gaps == pytest.approx(1.0 / layout.cadence_hz, abs=1.01 / RATE_HZ)
    assert np.abs(once[-1]).max() == 0.0


def test_x2_there_is_a_click_for_each_step_not_for_each_stride(layout):
    """X2: beats for each step hold better than for each stride (Brain Sciences 2020, 10(5) 273)."""
    assert len(beats_of(layout)) - 4 == len(layout.landings)
    feet = [beat.foot for beat in beats_of(layout)[4:]]
    assert all(a is not b for a, b in itertools.pairwise(feet))


def test_x1_a_fast_guide_makes_steps_quicker_and_shorter(capsys):
    """X1: Hase, Nakagawa & Iso 2025, PLoS ONE 20(3) e0319738, abstract; direction only."""
    assert (sources.GUIDE_FAST_HZ, sources.GUIDE_SLOW_HZ) == (4.16, 3.40)
    assert main(["rhythm", "--help"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "A sound is a cue and not a command" in told
    assert "A fast one makes steps quicker and shorter, a slow one the opposite" in told
    assert "Keep one ear free where others train" in told


def test_a_drill_without_touchdowns_has_no_rhythm():
    solved = solve(load(LAYOUTS / "flying-20.toml"))
    with pytest.raises(UsageError, match="tells no touchdowns"):
        layout_of(solved, solved.plan.athletes[0].name)


class TestCommand:
    plan = str(LAYOUTS / "fixed-cadence.toml")

    def test_it_is_written_beside_and_named_after_whom_it_is_for(
        self, tmp_path, monkeypatch, capsys, layout
    ):
        monkeypatch.chdir(tmp_path)
        assert main(["rhythm", self.plan]) == 0
        data = (tmp_path / "fixed-cadence-Joren.wav").read_bytes()
        assert heard(data) == pytest.approx(heard(as_wav(beats_of(layout))))
        (said,) = capsys.readouterr().err.splitlines()
        told = f"{len(heard(data)) / RATE_HZ:.1f} s, {len(data) / 1000:.0f} kB"
        assert said == (
            f"fixed-cadence-Joren.wav: {told}, the left foot in the left ear, the right in the "
            "right; a cue, not a command; one ear free where others train"
        )

    def test_where_no_foot_is_told_it_says_that_both_ears_hear_each_step(
        self, tmp_path, monkeypatch, capsys
    ):
        monkeypatch.chdir(tmp_path)
        plan = str(LAYOUTS / "height-only.toml")
        for more, ears in (
            ([], "each step in both ears: front_foot under the athlete's name parts them; "),
            (["--loop", "4s"], "left and right in turn; "),
        ):
            assert main(["rhythm", plan, "-o", "it.wav", *more]) == 0
            sound = heard(Path("it.wav").read_bytes())
            same = bool((sound[:, 0] == sound[:, 1]).all())
            assert ears in capsys.readouterr().err
            assert same is not bool(more)
        main(["rhythm", "--help"])
        told = " ".join(capsys.readouterr().out.split())
        assert "where the plan tells no foot each step sounds in both ears" in told

    @pytest.mark.parametrize(("who", "cautions"), [("Wren", 0), ("Ines", 1)])
    def test_only_what_concerns_the_athlete_is_told(self, tmp_path, capsys, who, cautions):
        plan, out = str(LAYOUTS / "tuesday-wickets.toml"), str(tmp_path / "it.wav")
        assert main(["rhythm", plan, "--athlete", who, "-o", out]) == 0
        said = capsys.readouterr().err
        assert said.count("caution: ") == said.count("caution: Ines: ") == cautions

    def test_a_sound_of_another_plan_or_of_somebody_is_replaced_with_force_only(
        self, tmp_path, monkeypatch, capsys
    ):
        monkeypatch.chdir(tmp_path)
        target = Path("it.wav")
        write = ["rhythm", self.plan, "-o", "it.wav"]
        assert main(write) == 0
        assert main([*write, "--loop", "4s"]) == 0
        assert main(["rhythm", str(LAYOUTS / "height-only.toml"), "-o", "it.wav"]) == 5
        assert "it.wav is a WAV, but not of this plan" in capsys.readouterr().err
        for theirs in (as_wav([Beat(time_s=0.0, pitch=Pitch.COUNT)]), b"RIFF of somebody"):
            target.write_bytes(theirs)
            assert main(write) == 5
            assert target.read_bytes() == theirs
            assert main([*write, "--force"]) == 0
            assert target.read_bytes() != theirs
        target.write_bytes(b"a song in words")
        assert main([*write, "--force"]) == 5
        assert "it.wav exists and is not a WAV; give another name" in capsys.readouterr().err

    def test_of_standard_input_it_wants_a_name(self, tmp_path, monkeypatch, capsys):
        monkeypatch.chdir(tmp_path)
        text = Path(LAYOUTS / "height-only.toml").read_bytes()
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text)))
        assert main(["rhythm", "-"]) == 2
        assert "say where to with -o" in capsys.readouterr().err
        assert not list(tmp_path.iterdir())

    def test_a_loop_to_standard_output(self, capsysbinary, layout):
        assert main(["rhythm", self.plan, "--loop", "20s", "-o", "-"]) == 0
        told = heard(capsysbinary.readouterr().out)
        assert told == pytest.approx(heard(loop_wav(layout, 20.0)))

    @pytest.mark.parametrize(
        ("options", "told"),
        [
            (["--loop", "1s"], "--loop: "),
            (["--athlete", "Jorn"], 'did you mean "Joren"?'),
            (["-o", "there.txt"], "there.txt exists"),
        ],
    )
    def test_a_slip_writes_nothing(self, tmp_path, monkeypatch, capsys, options, told):
        monkeypatch.chdir(tmp_path)
        (tmp_path / "there.txt").write_text("mine", "utf-8")
        assert main(["rhythm", self.plan, *options]) in {2, 5}
        assert told in capsys.readouterr().err
        assert [path.name for path in tmp_path.iterdir()] == ["there.txt"]
        assert (tmp_path / "there.txt").read_text("utf-8") == "mine"

    def test_of_several_somebody_is_named(self, capsys):
        assert main(["rhythm", str(LAYOUTS / "tuesday-wickets.toml")]) == 2
        assert "whose rhythm? --athlete takes one of Tarik, Odalys, " in capsys.readouterr().err

    def test_what_must_not_be_laid_out_is_not_sounded(self, tmp_path, monkeypatch, capsys):
        monkeypatch.chdir(tmp_path)
        text = Path(self.plan).read_text("utf-8")
        text = text.replace('"4.3 steps/s"', '"3.4 steps/s"')
        plan = tmp_path / "long.toml"
        plan.write_text(text, "utf-8")
        for name in ("harbour-track.toml",):
            (tmp_path / name).write_bytes((LAYOUTS / name).read_bytes())
        assert main(["rhythm", "long.toml"]) == 3
        assert "DO NOT LAY OUT; nothing was written" in capsys.readouterr().err
        assert not list(tmp_path.glob("*.wav"))


def test_a_sound_says_where_shared_gaps_ask_for_another_cadence():
    what = solve(load(LAYOUTS / "shared-lanes.toml"))
    said = {}
    for who in ("Kit", "Bram"):  # Bram shares with Odalys
        laying, layout = layout_of(what, who)
        said[who] = alone_text(laying, who)
        (demand,) = (each for each in laying.demands if each.athlete.name == who)
    assert said["Kit"] == ""
    assert round(layout.cadence_hz, 2) != round(demand.cadence_hz, 2)
    assert said["Bram"] == (
        f"; the run alone, {layout.cadence_hz:.2f} steps/s over the wickets; "
        f"the shared gaps ask {demand.cadence_hz:.2f} steps/s"
    )
