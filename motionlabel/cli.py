"""The command line. Results go to stdout, progress and messages to stderr.

Nothing that needs a system graphics library is imported before a command runs, so that
``motionlabel check`` can say which of them are missing.
"""

import argparse
import os
import signal
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

from motionlabel import __version__
from motionlabel.body import LABELLED_JOINTS
from motionlabel.errors import ExitCode, MissingDependencyError, MotionLabelError, UsageError

if TYPE_CHECKING:
    from motionlabel.anatomy import Course
    from motionlabel.output.file_names import FileNames
    from motionlabel.pipeline import Result
    from motionlabel.progress import Progress
    from motionlabel.settings import Settings

    Work = Callable[[Path, FileNames, Progress], Result]


_WIDEST = 110
"""Columns beyond which a text on a terminal is hard to read (own convention)."""


def program() -> int:
    """Run as a program of its own: ``main``, and silence from native threads that Ctrl-C cannot end at once."""
    # messages have a way of their own, so that file descriptor 2 can be closed to native libraries
    sys.stderr = os.fdopen(os.dup(2), "w", buffering=1, encoding=sys.stderr.encoding, errors="backslashreplace")
    if signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:  # a shell has it ignored in the background
        signal.signal(signal.SIGINT, _interrupted)
    code = main()
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        _write_nowhere()
    return code


def _interrupted(number: int, frame: FrameType | None) -> None:
    quiet = sys.modules.get("motionlabel.pose.quiet")
    if quiet is not None:
        quiet.stay_quiet()
    raise KeyboardInterrupt


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code (``ExitCode``)."""
    options = _parser().parse_args(arguments)
    return _guarded(lambda: options.run(options), options.traceback)


def _guarded(action: Callable[[], ExitCode], show_traceback: bool) -> ExitCode:
    """Turn every error into one sentence on stderr and an exit code: the only place that does."""
    try:
        return action()
    except MotionLabelError as error:
        problem: BaseException = error
        code, message = error.exit_code, str(error)
    except BrokenPipeError:
        # whoever read the output has seen enough, as head has after its lines: nothing is wrong or lost
        _write_nowhere()
        return ExitCode.OK
    except KeyboardInterrupt as error:
        problem = error
        code, message = ExitCode.INTERRUPTED, "Stopped. What was not finished has been removed."
    except Exception as error:
        problem = error
        code = ExitCode.INTERNAL
        message = (
            f"Sorry, something went wrong inside motionlabel ({type(error).__name__}: {error}). "
            "Run the same command with --traceback and report what it shows."
        )
    if show_traceback:
        traceback.print_exception(problem)
    print(message, file=sys.stderr)
    return code


def _write_nowhere() -> None:
    """Send the rest of standard output nowhere, so that no later flush fails."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _annotate(options: argparse.Namespace) -> ExitCode:
    from motionlabel.pipeline import annotate_clip

    settings = _settings(options)
    return _each_clip(
        options, lambda clip, names, progress: annotate_clip(clip, settings, names, progress, options.fresh)
    )


def _measure(options: argparse.Namespace) -> ExitCode:
    from motionlabel.output.file_names import STUDY_SUFFIX
    from motionlabel.pipeline import measure_clip, tables_of_study

    settings = _settings(options)

    def measured(clip: Path, names: "FileNames", progress: "Progress") -> "Result":
        if clip.name.endswith(STUDY_SUFFIX):
            return tables_of_study(clip, settings, names)
        return measure_clip(clip, settings, names, progress, options.fresh)

    return _each_clip(options, measured)


def _facts(options: argparse.Namespace) -> ExitCode:
    import shutil

    from motionlabel.anatomy.answers import sheets_of
    from motionlabel.anatomy.lookup import find
    from motionlabel.fact_sheet import WIDTH, facts_json, facts_text

    course = _course(options)
    answer = find(course, " ".join(options.query))
    sheets = sheets_of(answer, course)
    if options.json:
        print(facts_json(answer, sheets))
        return ExitCode.OK
    styled = sys.stdout.isatty()
    width = min(shutil.get_terminal_size((WIDTH, 0)).columns, _WIDEST) if styled else WIDTH
    text = facts_text(answer, sheets, course.words, width, styled)
    # a pipe may be narrower than the text: a letter that it cannot carry must not end the run
    code = sys.stdout.encoding or "utf-8"
    print(text.encode(code, "replace").decode(code))
    return ExitCode.OK


def _course(options: argparse.Namespace) -> "Course":
    """Return what is taught; only a settings file needs more than the anatomy."""
    from motionlabel.anatomy import Level, level_named, read_course

    if options.settings:
        return _settings(options).anatomy.course()
    try:
        level = level_named(options.level) if options.level else Level.COMPLETE
    except ValueError as error:
        raise UsageError(f"This option does not fit: {error}.") from error
    return read_course(level, options.anatomy)


def _live(options: argparse.Namespace) -> ExitCode:
    from functools import partial

    from motionlabel.drawing import DEFAULT_THEME, load_theme
    from motionlabel.errors import CameraError
    from motionlabel.live import MirrorOptions, Window, check_display, read_targets, run_mirror
    from motionlabel.pose import model_path
    from motionlabel.video import CameraSource, FileSource, PlayedClip

    size = _size(options.size)
    targets = read_targets(options.practise) if options.practise else ()
    check_display()
    connect: Callable[[], CameraSource | PlayedClip] = partial(CameraSource, options.camera or 0, size)
    if options.source is not None:
        with FileSource(options.source) as clip:  # a clip that cannot be read is told before the window opens
            clip.facts  # noqa: B018
        connect = partial(PlayedClip, options.source, size)
    mirror = MirrorOptions(
        connect=connect,
        size=size or (1280, 720),
        model=model_path(options.model or "lite"),
        theme=load_theme(options.theme or DEFAULT_THEME),
        targets=targets,
        folder=options.out or Path(),
    )
    with Window(mirror.size) as window:
        outcome = run_mirror(mirror, window)
    for path in outcome.recordings:
        print(path)
    if outcome.pictures == 0 and outcome.trouble:
        raise CameraError(outcome.trouble)
    return ExitCode.OK


def _size(text: str | None) -> tuple[int, int] | None:
    if text is None:
        return None
    width, cross, height = text.lower().partition("x")
    if not (
        cross and width.isdigit() and height.isdigit() and 160 <= int(width) <= 7680 and 120 <= int(height) <= 4320
    ):
        raise UsageError(f"--size {text} is no size: write width x height in pixels, such as 1280x720.")
    return int(width), int(height)


def _check(options: argparse.Namespace) -> ExitCode:
    from motionlabel.check import findings

    lacking = False
    for finding in findings():
        print(finding)
        lacking |= finding.needed and not finding.present
    if lacking:
        raise MissingDependencyError("Something that motionlabel needs is missing: see the lines marked 'missing'.")
    return ExitCode.OK


def _each_clip(options: argparse.Namespace, work: "Work") -> ExitCode:
    """Work on clip after clip; one that fails does not stop the others. The first failure is the exit code."""
    from motionlabel.output.file_names import distinct_names
    from motionlabel.progress import progress_on

    failed: dict[Path, ExitCode] = {}
    for clip, names in distinct_names(options.clips, options.out).items():

        def one(clip: Path = clip, names: "FileNames" = names) -> ExitCode:
            with progress_on(sys.stderr) as progress:
                result = work(clip, names, progress)
            _report(result)
            return ExitCode.OK

        code = _guarded(one, options.traceback)
        if code is ExitCode.INTERRUPTED:
            return code
        if code is not ExitCode.OK:
            failed[clip] = code
    if failed and len(options.clips) > 1:
        named = ", ".join(str(clip) for clip in failed)
        print(f"{len(failed)} of {len(options.clips)} clips failed: {named}.", file=sys.stderr)
    return next(iter(failed.values()), ExitCode.OK)


def _report(result: "Result") -> None:
    from motionlabel.summary import summary

    for line in summary(result.study, result.course.words):
        print(line)
    print("Files:")
    for path in result.written:
        print(f"  {path}")


def _settings(options: argparse.Namespace) -> "Settings":
    """Return the settings: defaults, then the settings file, then flags."""
    from dataclasses import replace

    from motionlabel.anatomy import level_named
    from motionlabel.settings import Settings, detail_named, joint_named, read_settings, show_named

    settings = read_settings(options.settings) if options.settings else Settings()
    given = {name: value for name, value in vars(options).items() if value is not None}
    try:
        pose = {name: given[name] for name in ("model", "person") if name in given}
        shown = {"theme": given["theme"]} if "theme" in given else {}
        if "detail" in given:
            shown["detail"] = detail_named(given["detail"])
        if "show" in given:
            shown["show"] = show_named(given["show"])
        if "focus" in given:
            shown["focus"] = tuple(joint_named(name) for name in given["focus"])
        taught = settings.anatomy
        if "anatomy" in given:
            taught = replace(taught, file=str(given["anatomy"]))
        if "level" in given:
            taught = replace(taught, level=level_named(given["level"]))
        return replace(
            settings,
            pose=replace(settings.pose, **pose),
            annotate=replace(settings.annotate, **shown),
            anatomy=taught,
        )
    except ValueError as error:
        raise UsageError(f"This option does not fit: {error}.") from error


def _loading(command: Callable[[argparse.Namespace], ExitCode]) -> Callable[[argparse.Namespace], ExitCode]:
    """Say in words when a library of the system or of Python is missing."""

    def loaded(options: argparse.Namespace) -> ExitCode:
        try:
            import motionlabel.pipeline  # noqa: F401
        except (ImportError, OSError) as error:
            raise MissingDependencyError(
                f"A library cannot be loaded ({error}); run 'motionlabel check' to see what to do."
            ) from error
        return command(options)

    return loaded


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="motionlabel",
        description="Annotates exercise footage with the joint motion and the muscles that the load demands.",
        epilog="Exit codes and settings are described in README.md.",
    )
    parser.add_argument("--version", action="version", version=f"motionlabel {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    annotate = commands.add_parser("annotate", help="write each clip again with its labels")
    _clip_options(annotate)
    annotate.add_argument("--theme", metavar="NAME", help="colours and sizes: contrast, paper, slate or a .toml file")
    annotate.add_argument(
        "--focus",
        metavar="JOINT",
        action="append",
        help=f"label only this joint ({', '.join(LABELLED_JOINTS)}); may be repeated",
    )
    annotate.add_argument(
        "--detail", metavar="LEVEL", help="how much a label says: motion, nerve (and muscles) or attachments (and all)"
    )
    annotate.add_argument(
        "--show", metavar="WHAT", help="labels alone, or muscles (and nerves) drawn on the body too (default)"
    )
    annotate.set_defaults(run=_loading(_annotate))

    measure = commands.add_parser("measure", help="write tables of angles and of phases, and no video")
    _clip_options(measure)
    measure.set_defaults(run=_loading(_measure))

    facts = commands.add_parser("facts", help="look something up in the atlas of muscles, nerves and motions")
    facts.add_argument(
        "query",
        metavar="QUERY",
        nargs="+",
        help="a muscle, nerve, motion, joint, root, bone or sign, such as 'hip extension', L4, 'foot drop'",
    )
    facts.add_argument("--json", action="store_true", help="write JSON for machines instead of text")
    _anatomy_options(facts)
    facts.add_argument("--settings", metavar="FILE", type=Path, help="settings file (TOML); flags win over it")
    _debug_option(facts)
    facts.set_defaults(run=_facts)

    live = commands.add_parser("live", help="show a camera's picture as a mirror that says which muscles work")
    picture = live.add_mutually_exclusive_group()
    picture.add_argument("--camera", metavar="N", type=int, help="number of the camera, from 0")
    picture.add_argument("--source", metavar="FILE", type=Path, help="a clip that plays in the place of a camera")
    live.add_argument("--size", metavar="WxH", help="size to ask of the camera, such as 1280x720")
    live.add_argument("--model", metavar="MODEL", help="landmark model: lite, full or the path of a .task file")
    live.add_argument("--practise", metavar="FILE", type=Path, help="list of motions, muscles or nerves, one a line")
    live.add_argument("--theme", metavar="NAME", help="colours and sizes: contrast, paper, slate or a .toml file")
    live.add_argument("--out", metavar="DIR", type=Path, help="folder for recordings (else the present one)")
    _debug_option(live)
    live.set_defaults(run=_loading(_live))

    check = commands.add_parser("check", help="say whether everything needed is there, and what to do if not")
    _debug_option(check)
    check.set_defaults(run=_check)
    return parser


def _clip_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("clips", metavar="CLIP", nargs="+", type=Path, help="a recorded clip")
    parser.add_argument("--out", metavar="DIR", type=Path, help="folder for the results (else beside the clip)")
    parser.add_argument("--model", metavar="MODEL", help="landmark model: lite, full or the path of a .task file")
    parser.add_argument("--person", metavar="N", type=int, help="whom to follow, as numbered in STEM.people.png")
    parser.add_argument("--settings", metavar="FILE", type=Path, help="settings file (TOML); flags win over it")
    _anatomy_options(parser)
    parser.add_argument("--fresh", action="store_true", help="study the clip anew even if a stored study fits")
    _debug_option(parser)


def _anatomy_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--anatomy", metavar="FILE", type=Path, help="a teacher's own names and words (TOML)")
    parser.add_argument("--level", metavar="LEVEL", help="how much of the atlas: essential or complete")


def _debug_option(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--traceback", action="store_true", help="show where an error came from")


if __name__ == "__main__":
    sys.exit(program())
