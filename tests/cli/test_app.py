"""The command line as a person meets it: what it prints, where, and how it ends."""

import json
import re
import socket
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import pytest

from tests.cli.command import ROOT, handsfree

TASK = ROOT / "tasks" / "accumulator-nitrogen.yaml"

TYPED = """\
5306 04
affirm
hydraulic pressure released
minus 5
affirm
charging hose fitted
charging valve open
60
71
correction 65
affirm
charging valve closed
charging hose removed
"""


def test_help_loads_no_speech_engine_and_no_task_models() -> None:
    code = (
        "import sys, contextlib, io\n"
        "import handsfree.cli.app as cli\n"
        "sys.argv = ['handsfree', '--help']\n"
        "with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):\n"
        "    cli.main()\n"
        "heavy = {'ctranslate2', 'jinja2', 'pydantic', 'numpy', 'pyttsx3', 'sounddevice', 'yaml',\n"
        "         'starlette', 'uvicorn'}\n"
        "print(sorted(heavy & set(sys.modules)))\n"
    )
    printed = subprocess.check_output([sys.executable, "-c", code], text=True, cwd=ROOT)
    assert printed == "[]\n"


def test_check_says_what_is_in_a_good_task() -> None:
    done = handsfree("check", TASK)
    assert done.returncode == 0
    assert (
        "no problem found, 4 answered in the file. Add nitrogen to the cargo door accumulator"
        in done.stdout
    )


def test_check_says_how_much_was_looked_at() -> None:
    done = handsfree("check", ROOT / "tasks" / "door-slide-refit.yaml")
    assert done.returncode == 0
    assert re.search(
        r"Proved on every way: \d+ situations and \d+ moves in \d walks?\.", done.stdout
    )


def test_a_task_with_a_way_that_must_not_be_is_refused_with_that_way(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text(
        TASK.read_text()
        .replace("sets: {charging-hose: removed}", "sets: {charging-hose: fitted}")
        .replace("confirm: charging hose removed", "confirm: hose is off")
    )
    for done in (handsfree("check", wrong), handsfree("run", wrong, "--keyboard")):
        assert done.returncode == 1
        assert "'charging-hose' must end removed, but it can end fitted" in done.stderr
        assert "    The shortest way there has 8 steps:" in done.stderr
        assert done.stdout == ""


def test_advice_on_wording_is_told_and_does_not_fail(tmp_path: Path) -> None:
    advised = tmp_path / "advised.yaml"
    text = TASK.read_text().replace("Remove the charging hose.", "Loosen, and remove the hose.")
    advised.write_text(text)
    done = handsfree("check", advised)
    assert done.returncode == 0
    assert ": warning: the instruction of step 'remove-hose' gives a second order" in done.stderr
    assert "1 to look at, 4 answered in the file." in done.stdout


def test_a_file_that_is_far_too_large_is_not_read_to_its_end(tmp_path: Path) -> None:
    large = tmp_path / "large.yaml"
    with large.open("wb") as file:
        file.truncate(10_000_000_000)  # a hole: it takes no room
    done = handsfree("check", large)
    assert done.returncode == 2
    assert "is larger than 16 MB. Name a task file" in done.stderr


def test_the_variants_of_a_run_must_be_said(tmp_path: Path) -> None:
    variant = tmp_path / "variant.yaml"
    variant.write_text("variants: {side: [left, right]}\n" + TASK.read_text())
    record = ("--keyboard", "--record", tmp_path / "record")
    none = handsfree("run", variant, *record)
    assert none.returncode == 2
    assert none.stderr == (
        "run: say which side this run is for: --variant 'side=left' or --variant 'side=right'.\n"
    )
    other = handsfree("run", variant, *record, "--variant", "door=left")
    assert other.stderr == "run: the task has no variant 'door'. It has: side.\n"
    left = handsfree("run", variant, *record, "--variant", "side=left")
    assert "This run is for side left." in left.stdout


def test_check_warns_of_phrases_that_sound_alike_and_does_not_fail(tmp_path: Path) -> None:
    task = tmp_path / "task.yaml"
    text = TASK.read_text().replace("charging hose fitted", "charging hose on")
    task.write_text(text.replace("charging hose removed", "charging hose off"))
    done = handsfree("check", task)
    assert done.returncode == 0
    assert done.stderr.count("\n") == 1
    assert "'charging hose on' and 'charging hose off' sound alike (1.0 phones" in done.stderr
    assert "Write 'charging hose fitted' and 'charging hose removed', for example" in done.stderr
    assert "1 to look at, 4 answered in the file. Add nitrogen" in done.stdout


def test_check_fails_where_two_phrases_sound_the_same(tmp_path: Path) -> None:
    task = tmp_path / "task.yaml"
    text = TASK.read_text().replace("charging hose fitted", "hose pair right")
    task.write_text(text.replace("charging hose removed", "hose pear right"))
    done = handsfree("check", task)
    assert done.returncode == 1
    assert "error: 'hose pair right' and 'hose pear right' sound the same" in done.stderr
    assert done.stdout == ""


def test_check_of_a_wrong_task_is_misuse_with_file_line_and_column(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text(TASK.read_text().replace("unit: bar", "unit: bars"))
    done = handsfree("check", wrong)
    assert done.returncode == 2
    assert f"{wrong}:" in done.stderr
    assert "unknown unit 'bars'. For pressure write one of psi, bar, kPa" in done.stderr
    assert done.stdout == ""


def test_a_task_file_that_is_not_there_is_misuse(tmp_path: Path) -> None:
    done = handsfree("check", tmp_path / "none.yaml")
    assert done.returncode == 2
    assert "none.yaml: cannot be read (No such file or directory). Name a task file." in done.stderr


def test_a_whole_task_by_keyboard_ends_well_and_is_on_the_record(tmp_path: Path) -> None:
    record = tmp_path / "record"
    speech = tmp_path / "speech.wav"
    done = handsfree(
        "run", TASK, "--keyboard", "--record", record, "--speech-file", speech, typed=TYPED
    )
    assert done.returncode == 0, done.stderr
    assert f"record: {record}" in done.stdout
    entries = [json.loads(line) for line in (record / "log.jsonl").read_text().splitlines()]
    assert [entry["seq"] for entry in entries] == list(range(len(entries)))
    assert [entry["kind"] for entry in entries[:3]] == ["record-opened", "started", "task-begun"]
    assert any(entry["kind"] == "task-ended" for entry in entries)
    values = [each["value"] for each in entries if each["kind"] == "reading-taken"]
    assert values == ["-5", "60", "71", "65"]
    assert speech.stat().st_size > 100_000


def test_a_trial_whose_clock_goes_faster_says_so_on_its_record_and_in_its_summary(
    tmp_path: Path,
) -> None:
    record = tmp_path / "record"
    options = ("--keyboard", "--record", record, "--rehearse-clock", "60")
    done = handsfree("run", TASK, *options, typed=TYPED)
    assert done.returncode == 0, done.stderr
    assert "A trial: one second here counts as 60." in done.stderr + done.stdout
    first = json.loads((record / "log.jsonl").read_text().splitlines()[0])
    assert first["clock_rate"] == 60
    handsfree("export", record, tmp_path / "out")
    summary = (tmp_path / "out" / "work-summary.md").read_text()
    assert "A TRIAL of the task: its clock went faster than time does." in summary


@pytest.mark.parametrize("others", [("--clips", "."), ("--resume", ".", "--keyboard")])
def test_only_a_new_run_by_keyboard_can_be_a_trial(others: tuple[str, ...]) -> None:
    task = () if "--resume" in others else (TASK,)
    done = handsfree("run", *task, *others, "--rehearse-clock", "60")
    assert (done.returncode, done.stderr) == (
        2,
        "run: --rehearse-clock is for trying a task: begin a new one, with --keyboard.\n",
    )


def test_a_run_that_ends_early_says_where_and_exits_1(tmp_path: Path) -> None:
    done = handsfree("run", TASK, "--keyboard", "--record", tmp_path / "r", typed="5306 04\n")
    assert done.returncode == 1
    assert "not finished: 0 of 8 steps are done; step 1 was waiting." in done.stdout
    last = (tmp_path / "r" / "log.jsonl").read_text().splitlines()[-1]
    assert json.loads(last)["kind"] == "stopped"


def test_a_run_with_a_tool_out_of_calibration_does_not_begin(tmp_path: Path) -> None:
    old = tmp_path / "old.yaml"
    dated = "    calibrated: true\n    calibration_due: 2001-02-03\n"
    old.write_text(TASK.read_text().replace("    calibrated: true\n", dated, 1))
    done = handsfree("run", old, "--keyboard", "--record", tmp_path / "r", typed="5306 04\n")
    assert done.returncode == 1
    assert "Hose gauge, 1 bar steps: calibration was due 2001-02-03, today is " in done.stderr
    assert not (tmp_path / "r").exists()


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            ("--clips", "x", "--keyboard"),
            "run: hear either from --clips FOLDER or from --keyboard.",
        ),
        (
            ("--second-device", "a", "--second-channel", "2"),
            "run: the second person is at --second-device or --second-channel, not both.",
        ),
        (("--keyboard", "--device", "a"), "run: --clips and --keyboard need no microphone."),
        (("--keyboard", "--voice-stops-speech"), "run: --clips and --keyboard need no microphone."),
    ],
)
def test_a_run_with_ears_that_do_not_go_together_is_misuse(
    words: tuple[str, ...], message: str
) -> None:
    done = handsfree("run", TASK, *words)
    assert done.returncode == 2
    assert done.stderr == message + "\n"


def test_a_run_without_a_microphone_names_other_ways_and_leaves_no_record(tmp_path: Path) -> None:
    done = handsfree("run", TASK, "--device", "no such headset", "--record", tmp_path / "r")
    assert done.returncode == 2
    assert done.stderr.startswith("No microphone: ")
    assert "--clips FOLDER or by typed words with --keyboard." in done.stderr
    assert not (tmp_path / "r").exists()


def test_a_board_is_named_by_its_address(tmp_path: Path) -> None:
    record, speech = tmp_path / "r", tmp_path / "s.wav"
    board = ("--board", "--board-port", "0")
    done = handsfree("run", TASK, "--keyboard", *board, "--record", record, "--speech-file", speech)
    assert re.search(r"^board: http://127\.0\.0\.1:\d+/$", done.stdout, re.MULTILINE)
    assert "board" not in done.stderr


def test_a_board_that_cannot_be_opened_is_one_line_and_the_run_goes_on(tmp_path: Path) -> None:
    record, speech = tmp_path / "r", tmp_path / "s.wav"
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        board = ("--board", "--board-port", port)
        done = handsfree(
            "run",
            TASK,
            "--keyboard",
            *board,
            "--record",
            record,
            "--speech-file",
            speech,
            typed=TYPED,
        )
    assert done.returncode == 0
    told = [line for line in done.stderr.splitlines() if "board" in line]
    assert told == [
        f"board: 127.0.0.1 port {port} cannot be used (Address already in use). The run goes on "
        "without a board; next time name another --board-port or --board-host."
    ]
    assert "board:" not in done.stdout


def test_the_token_of_a_board_is_printed_once_and_is_not_on_the_record(tmp_path: Path) -> None:
    record, speech = tmp_path / "r", tmp_path / "s.wav"
    board = ("--board", "--board-host", "0.0.0.0", "--board-port", "0")
    done = handsfree("run", TASK, "--keyboard", *board, "--record", record, "--speech-file", speech)
    tokens = re.findall(r"\?token=(\S+)", done.stdout)
    assert len(tokens) == 1
    assert tokens[0] not in done.stderr
    assert tokens[0] not in (record / "log.jsonl").read_text()


def test_the_address_of_a_board_without_a_board_is_misuse() -> None:
    done = handsfree("run", TASK, "--keyboard", "--board-port", "8000")
    assert done.returncode == 2
    assert done.stderr == "run: --board-host and --board-port go with --board.\n"


def test_a_folder_without_clips_is_misuse(tmp_path: Path) -> None:
    done = handsfree("run", TASK, "--clips", tmp_path)
    assert done.returncode == 2
    assert "no sound files there. Name a folder with one file for each utterance" in done.stderr


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--phrases", "colours"), "hear: no phrase set 'colours'. There is: number."),
        (("--task", str(TASK)), "hear: --task and --step go together."),
        (
            ("--task", str(TASK), "--step", "nothing"),
            "has no step 'nothing'. It has: data-revision, ",
        ),
        (
            ("--task", str(TASK), "--step", "temperature", "--phrases", "number"),
            "hear: give either --phrases or --task with --step.",
        ),
    ],
)
def test_hear_refuses_a_phrase_set_that_is_not_there(words: tuple[str, ...], message: str) -> None:
    done = handsfree("hear", "clip.wav", *words)
    assert done.returncode == 2
    assert message in done.stderr


def test_show_prints_the_task_without_colour_in_a_pipe() -> None:
    done = handsfree("show", TASK)
    assert done.returncode == 0
    assert done.stdout.startswith("Add nitrogen to the cargo door accumulator\n")
    assert "\x1b" not in done.stdout
    assert sha256(TASK.read_bytes()).hexdigest() in done.stdout


def test_show_writes_one_page(tmp_path: Path) -> None:
    page = tmp_path / "task.html"
    done = handsfree("show", TASK, "--html", page)
    assert (done.returncode, done.stdout) == (0, f"page: {page}\n")
    assert page.read_text().startswith("<!DOCTYPE html>")


def test_show_does_not_write_a_page_over_a_task_file(tmp_path: Path) -> None:
    task = tmp_path / "task.yaml"
    task.write_text(TASK.read_text())
    done = handsfree("show", task, "--html", task)
    assert done.returncode == 2
    assert done.stderr == f"{task}: the page needs a name that ends in .html.\n"
    assert task.read_text() == TASK.read_text()


def test_new_writes_a_starter_that_check_takes(tmp_path: Path) -> None:
    file = tmp_path / "door pin.yaml"
    done = handsfree("new", file)
    assert done.returncode == 0
    assert f"then: handsfree check '{file}'" in done.stdout
    assert handsfree("check", file).returncode == 0
    again = handsfree("new", file)
    assert (again.returncode, again.stdout) == (2, "")


def test_schema_prints_json_and_nothing_else() -> None:
    printed = json.loads(handsfree("schema").stdout)
    assert printed["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_import_writes_a_draft_that_neither_check_nor_run_takes(tmp_path: Path) -> None:
    (module,) = (ROOT / "tasks").glob("DMC-*.xml")
    draft = tmp_path / "draft.yaml"
    done = handsfree("import", module, "--to", draft)
    assert done.returncode == 0
    lines = done.stdout.splitlines()
    assert f"{module}:52: not taken over: " in done.stdout
    assert f"{module}:131: step 2.3 is too long for one instruction: split it" in lines
    assert lines[-1] == (
        f"draft: {draft}, 10 steps; not taken over: {len(lines) - 2}. "
        f"Settle each todo in it, then: handsfree check {draft}"
    )
    for words in (("check", draft), ("run", draft, "--keyboard"), ("show", draft)):
        refused = handsfree(*words)
        assert (refused.returncode, refused.stdout) == (2, "")
        assert "still a draft, to do: compare each line with the data module" in refused.stderr


def test_import_writes_nothing_for_a_broken_module_or_over_a_file(tmp_path: Path) -> None:
    module, draft = tmp_path / "m.xml", tmp_path / "draft.yaml"
    module.write_text("<dmodule>\n<content>")
    done = handsfree("import", module, "--to", draft)
    assert (done.returncode, done.stdout, draft.exists()) == (2, "", False)
    assert done.stderr == f"{module}:2: not XML: no element found. Mend the line.\n"
    (sample,) = (ROOT / "tasks").glob("DMC-*.xml")
    draft.write_text("mine")
    again = handsfree("import", sample, "--to", draft)
    assert (again.returncode, again.stdout, draft.read_text()) == (2, "", "mine")


def test_a_module_that_is_not_there_is_misuse(tmp_path: Path) -> None:
    done = handsfree("import", tmp_path / "none.xml", "--to", tmp_path / "t.yaml")
    assert done.returncode == 2
    assert (
        "none.xml: cannot be read (No such file or directory). Name a data module." in done.stderr
    )
