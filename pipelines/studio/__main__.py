"""The studio's command line: `python -m pipelines.studio --help`."""

import argparse
import sys

from pipelines.studio.arguments import parse

INTERRUPTED = 130


def main(arguments: list[str] | None = None) -> None:
    """Parse the arguments and run the wanted job; what fails is said in one line."""
    wanted = argparse.Namespace()
    try:
        wanted = parse(arguments)
        _run(wanted)
    except KeyboardInterrupt:
        print("Interrupted. `render` goes on with the same command.", file=sys.stderr)
        raise SystemExit(INTERRUPTED) from None
    except ModuleNotFoundError as error:
        raise SystemExit(
            f"{error}. Install what the studio needs: pip install '.[studio]'"
        ) from error
    except (ValueError, IndexError) as error:
        raise SystemExit(str(error)) from error
    except OSError as error:
        named = vars(wanted)
        where = error.filename or named.get("out") or named.get("manifest") or "a file"
        what = error.strerror or str(error)
        raise SystemExit(f"{where}: {what}. Mend that or name another path.") from error


def _run(a: argparse.Namespace) -> None:
    """Run the job; only its own modules are loaded."""
    if a.job == "check":
        from pipelines.studio.set_check import check_set

        checked = check_set(a.manifest)
        if checked.faults:
            raise SystemExit(checked.told())
        print(checked.told())
    elif a.job == "render":
        from pipelines.studio.sets import render_set

        numbers = range(a.first, a.first + a.count)
        tally = render_set(a.look, numbers, a.out, a.workers, a.wide, a.plug, a.seconds, a.gpus)
        print(tally.told())
        if tally.failed:
            raise SystemExit(1)
    elif a.job == "develop":
        from pipelines.studio.developing import develop_set

        count = len(develop_set(a.renders, a.out, a.each, a.longest, a.workers))
        print(f"{count} photos")
    elif a.job == "large":
        from pipelines.studio.large import make_large, peak, sizes

        print(f"{len(make_large(a.renders, a.out, sizes(a.count)))} photos, peak {peak():.0f} MB")
    elif a.job == "sheet":
        from pipelines.studio.sheets import write_sheet

        write_sheet(a.manifest, a.out, a.first, a.count, a.tile)
    elif a.job == "physics":
        from pipelines.studio.physics import report as physics_report

        text, holds = physics_report()
        print(text)
        if not holds:
            raise SystemExit(1)
    elif a.job == "sample":
        from pipelines.studio.sample_set import told, write_sample

        print(told(write_sample(a.manifest, a.out, a.count), a.out))
    elif a.job == "leaks":
        from pipelines.studio.leaks import report

        print(report(a.manifest))
    else:
        from pipelines.studio.demo import make_demo
        from pipelines.studio.sets import start_renderer

        start_renderer()
        make_demo(a.out, a.only, a.size, a.quality)


if __name__ == "__main__":
    main()
