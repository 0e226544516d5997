"""The commands for a record that is written: parse, call, print."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.cli.common import VoiceOption, utc_now
from handsfree.cli.keys_given import KeysFolder, TrustedFile, load, public_key, read_trusted_keys
from handsfree.cli.moves import Move, Only
from handsfree.errors import HandsfreeError, Misuse
from handsfree.speaking.voices import VoiceName, voice_called

if TYPE_CHECKING:
    from handsfree.record.trusted import Trusted
    from handsfree.record.verify import Verified

app = typer.Typer()

RecordFolder = Annotated[
    Path, typer.Argument(metavar="RECORD", help="The folder of a record.", show_default=False)
]
NoVoices = Annotated[
    bool,
    typer.Option(
        "--no-voices",
        help="Do not compare the voices of the roles, which is the use of biometric data.",
    ),
]
Roots = Annotated[
    Path | None,
    typer.Option(metavar="FILE", help="Certificates of time stamp authorities to trust (PEM)."),
]
ReplaceTimeStamp = Annotated[
    bool,
    typer.Option(
        "--replace-time-stamp", help="A time stamp over the seal before may go; it is lost."
    ),
]


@app.command()
def verify(
    records: Annotated[
        list[Path],
        typer.Argument(metavar="RECORD...", help="Folders of records.", show_default=False),
    ],
    key: Annotated[
        str | None,
        typer.Option(
            metavar="KEY", help="The public key that must have sealed it: in hex, or its file."
        ),
    ] = None,
    trusted: TrustedFile = None,
    roots: Roots = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="One JSON object a line for each record.")
    ] = False,
) -> None:
    """Check that records are as they were written, and who vouches for them.

    Of one record everything is told, of several one line each. Exit codes: 0 all as written, 1
    something is wrong with a record, 2 there is no record in a folder.
    """
    from rich.console import Console
    from rich.progress import track

    from handsfree.cli import verify_shown

    public, believed = public_key(key), read_trusted_keys(trusted)
    if len(records) == 1 and not as_json:
        found = verified(records[0], public, roots, believed)
        for line in verify_shown.told_at_length(records[0], found):
            typer.echo(line)
        raise typer.Exit(verify_shown.exit_code([found]))
    tell = verify_shown.told_to_a_program if as_json else verify_shown.told_in_a_line
    all_found: list[Verified | HandsfreeError] = []
    for record in track(records, "Verifying", console=Console(stderr=True), transient=True):
        all_found.append(_verified_or_why_not(record, public, roots, believed))
        typer.echo(tell(record, all_found[-1]))
    raise typer.Exit(verify_shown.exit_code(all_found))


@app.command()
def replay(
    record: RecordFolder,
    speak: Annotated[
        bool, typer.Option("--speak", help="Say what was said, and play the clips.")
    ] = False,
    speed: Annotated[
        float, typer.Option(min=0.5, max=3.0, help="Speed of the voice, in times the usual one.")
    ] = 1.0,
    voice: VoiceOption = VoiceName.BUILT_IN,
    step: Annotated[
        bool,
        typer.Option("--step", help="Wait for a key after each turn: b goes back, q ends."),
    ] = False,
    from_step: Annotated[
        str | None,
        typer.Option("--from", metavar="STEP", help="Begin where this step is first spoken."),
    ] = None,
    only: Annotated[
        Only | None, typer.Option("--only", help="Only turns in which something went wrong.")
    ] = None,
) -> None:
    """Run the engine over a record; it must decide what it decided then."""
    from rich.console import Console

    from handsfree.cli.replay_shown import Replayer, chosen
    from handsfree.record.entries import read_entries
    from handsfree.record.replay import replay as turns_of
    from handsfree.record.task_file import read_task_of
    from handsfree.speaking.choose import open_player, open_speaker
    from handsfree.speaking.silent import SilentSpeaker

    open_voice = voice_called(voice)
    task = read_task_of(record)
    if from_step is not None and from_step not in task.index_of:
        raise Misuse(
            f"replay: the task has no step '{from_step}'. It has: {', '.join(task.index_of)}."
        )
    with Console(stderr=True).status("Replaying"):
        entries = tuple(read_entries(record))
        turns = list(turns_of(task, entries))
    speaker = open_speaker(None, speed, open_voice=open_voice) if speak else SilentSpeaker()
    player = open_player() if speak else None
    ask = _asked_for if step else lambda: Move.ON
    replayer = Replayer(record, entries, Console(highlight=False), speaker, player, ask)
    shown = chosen(turns, from_step, only)
    try:
        if len(shown) == len(turns):
            replayer.show_beginning(entries)
        replayer.show_all(shown)
    finally:
        speaker.close()
    if turns and turns[-1].is_cut_off:
        typer.echo("The record ends before all was said; 'handsfree run --resume' goes on with it.")
    differences = sum(len(turn.differences) for turn in turns)
    part = "" if len(shown) == len(turns) else f" ({len(shown)} shown)"
    if differences:
        typer.echo(f"{record}: {len(turns)} events{part}, {differences} of the decisions differ.")
        raise typer.Exit(1)
    typer.echo(f"{record}: {len(turns)} events{part}, every decision the same.")


def _asked_for() -> Move:
    """Wait for a key at a terminal; without one, go on."""
    import click

    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return Move.ON
    return {"b": Move.BACK, "q": Move.QUIT}.get(click.getchar().lower(), Move.ON)


@app.command()
def seal(
    record: RecordFolder,
    time_stamp: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="An authority's answer (RFC 3161) over seal.json."),
    ] = None,
    roots: Roots = None,
    keys: KeysFolder = None,
    replace_time_stamp: ReplaceTimeStamp = False,
) -> None:
    """Vouch for a record as it is now, or put a time stamp beside its seal."""
    from datetime import timedelta

    from handsfree.record import Record
    from handsfree.record.time_stamp import attach_time_stamp, refuse_to_lose_time_stamp

    if (time_stamp is None) != (roots is None):
        raise Misuse("seal: --time-stamp and --roots go together.")
    if time_stamp is not None and roots is not None:
        when = attach_time_stamp(record, time_stamp, roots)
        typer.echo(f"{record}: its seal was there at {when.isoformat()}.")
        return
    own = load(keys)
    refuse_to_lose_time_stamp(record, replace_time_stamp)
    with Record.go_on(record, utc_now, lambda: timedelta(0), own) as log:
        log.seal()
    typer.echo(f"{record}: sealed by {own.name}, key {own.public}")


@app.command()
def export(
    record: RecordFolder,
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A new folder to write into.")],
    roots: Roots = None,
    trusted: TrustedFile = None,
) -> None:
    """Write steps and readings (CSV), the whole (JSON) and a work summary."""
    from handsfree.record.export import export as write
    from handsfree.record.task_file import read_task_of

    found = verified(record, None, roots, read_trusted_keys(trusted))
    for path in write(record, read_task_of(record), found, folder):
        typer.echo(str(path))
    if found.problems:
        typer.echo("The record does not verify; the work summary says why.", err=True)
        raise typer.Exit(1)


@app.command()
def redact(
    record: RecordFolder,
    reason: Annotated[str, typer.Option(metavar="TEXT", help="Why; it goes on the record.")],
    clip: Annotated[
        list[str] | None,
        typer.Option(metavar="SHA256", help="Only this clip; may be repeated.  (default: all)"),
    ] = None,
    keys: KeysFolder = None,
    replace_time_stamp: ReplaceTimeStamp = False,
) -> None:
    """Remove the sound of voices from a record; words and hashes stay."""
    from handsfree.record.redact import redact as remove
    from handsfree.record.seal import is_sealed

    own = load(keys)
    gone = remove(record, reason, own, utc_now, tuple(clip or ()), None, replace_time_stamp)
    typer.echo(f"{record}: the sound of {len(gone)} clips is removed, by {own.name}: {reason}")
    if not is_sealed(record, own):
        typer.echo(
            f"warning: {record}: not sealed, for nobody vouches for the end of the work on it. "
            "'handsfree verify' tells from where on; 'handsfree seal' vouches for it.",
            err=True,
        )


def _verified_or_why_not(
    record: Path, key: str | None, roots: Path | None, trusted: "Trusted | None"
) -> "Verified | HandsfreeError":
    from handsfree.record.verify import verify as check

    try:
        return check(record, key, roots, trusted)
    except HandsfreeError as error:
        return error


def verified(
    record: Path, key: str | None, roots: Path | None, trusted: "Trusted | None"
) -> "Verified":
    """What `verify` finds, with a sign that it is at work."""
    from rich.console import Console

    from handsfree.record.verify import verify as check

    with Console(stderr=True).status("Verifying"):
        return check(record, key, roots, trusted)
