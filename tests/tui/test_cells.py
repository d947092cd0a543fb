"""What is written to the terminal: no more than changes, and all of that."""

from hypothesis import given
from hypothesis import strategies as st
from tui_bench import Screen

from tui.cells import Shown

_STYLES = ("", "1", "1;38;2;1;2;3", "38;2;1;2;3;48;2;4;5;6", "7;38;5;9", "31;42", "1;7;90;107")


def piece(x, y, text, style):
    """Return a piece of a frame as the library writes it."""
    styled = f"\x1b[{style}m{text}\x1b[0m" if style else text
    return f"\x1b[{y + 1};{x + 1}H{styled}"


PIECES = st.builds(
    piece,
    st.integers(0, 9),
    st.integers(0, 2),
    st.text("ab █", max_size=9),
    st.sampled_from(_STYLES),
)
FRAMES = st.lists(
    st.one_of(
        st.lists(st.one_of(PIECES, st.just("\n")), min_size=1, max_size=8).map("".join),
        st.sampled_from(["\x1b[?2026h", "\x1b[?1049h", "\x1b[?25l"]),
    ),
    max_size=6,
)


@given(FRAMES, st.data())
def test_the_terminal_shows_what_it_would_have_shown(frames, data):
    wanted, got, shown = Screen(), Screen(), Shown()
    for frame in frames:
        wanted.take(frame)
        if not frame.startswith("\x1b[?") and data.draw(st.booleans()):
            shown.forget()
        cut = data.draw(st.integers(0, len(frame)))  # a driver may write in pieces
        got.take(shown.changes(frame[:cut]))
        got.take(shown.changes(frame[cut:]))
        assert got.cells == wanted.cells


def test_what_stands_there_is_not_written_again():
    shown, frame = Shown(), piece(3, 1, "a run of words", "1;38;2;1;2;3")
    assert shown.changes(frame).count("words") == 1
    assert shown.changes(frame) == ""


def test_of_a_line_and_a_style_what_differs_is_written():
    shown = Shown()
    shown.changes(piece(0, 0, "gap 1.90 m", "1;38;2;9;9;9"))
    one = shown.changes(piece(0, 0, "gap 1.92 m", "1;38;2;9;9;9"))
    assert one == "\x1b[1;8H\x1b[1;38;2;9;9;9m2\x1b[2C\x1b[0m"
    two = shown.changes(
        piece(0, 1, "a", "38;2;9;9;9;48;2;1;1;1") + piece(1, 1, "b", "38;2;8;8;8;48;2;1;1;1")
    )
    assert two == "\x1b[2;1H\x1b[38;2;9;9;9;48;2;1;1;1ma\x1b[38;2;8;8;8mb\x1b[0m"


def test_a_line_with_wide_characters_is_written_as_it_comes():
    shown, frame = Shown(), piece(0, 0, "山田", "1")
    assert "山田" in shown.changes(frame)
    assert "山田" in shown.changes(frame)
    assert "after" in shown.changes(piece(2, 0, "after", ""))


def test_a_resized_terminal_is_written_anew():
    shown, frame = Shown(), piece(0, 0, "words", "")
    shown.changes(frame)
    shown.forget()
    assert "words" in shown.changes(frame)


def test_the_cursor_stays_where_the_shell_had_it_once_its_screen_is_back():
    shown = Shown()
    shown.changes("\x1b[?1049h" + piece(3, 2, "words", "1"))
    for told in ("\x1b[?1049l", "\x1b[?25h", "\x1b[?1004l"):
        assert shown.changes(told) == told


def test_titles_and_modes_pass_and_change_no_cell():
    shown, frame = Shown(), piece(0, 0, "words", "")
    shown.changes(frame)
    for told in ("\x1b[?2026h", "\x1b]0;a title\x07", "\x07"):
        assert shown.changes(told) == told
    assert shown.changes(frame) == ""
    assert "words" in shown.changes("\x1b[?1049h" + frame)
