"""One paper, made in a process of its own: low in rank, bounded in time and memory.

Run as `python -m witnessmark.workshop.one_paper`: what to print comes as JSON on standard
input, the PDF goes to standard output. What cannot be printed ends with `REFUSED` and says
why, in words for whoever asked.
"""

from __future__ import annotations

import json
import os
import sys
from base64 import b64decode
from pathlib import Path
from typing import Any

REFUSED = 3
"""The exit code with which words come instead of a paper."""

SECONDS = 60
"""Of the processor at the most. A document of 40 pages takes a third of one."""

MEMORY = 2 * 1024**3
"""Bytes of address space at the most: setting 40 pages fills about 650 MB of real memory."""

RANK = 15
"""How far below the server the work stands in the queue for the processor."""


def bound_myself() -> None:
    """Stand back behind the server, and never outgrow the bounds, where the system has them."""
    if sys.platform == "win32":
        return
    import resource

    os.nice(RANK)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS + 5))


class NoPaperError(ValueError):
    """A paper that cannot be printed; the text says why and what to do."""


def printed(wanted: dict[str, Any]) -> bytes:
    """Print what is wanted: a template with its content, or a paper of a plan.

    Raises
    ------
    NoPaperError
        If there is no such paper, or it cannot be set.
    """
    from witnessmark.papers.rendering import PaperError, render_pdf

    if "plan" in wanted:
        template, content = paper_of_plan(wanted["plan"])
        pictures = {}
    else:
        template, content = wanted["template"], wanted["content"]
        pictures = {name: b64decode(data) for name, data in wanted["pictures"].items()}
    try:
        return render_pdf(template, content, pictures)
    except PaperError as error:
        raise NoPaperError(str(error)) from None


def paper_of_plan(plan: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    """Plan a job again from the library and give one of its papers.

    A file that changed since the job was planned would give another machine's paper.
    """
    from witnessmark.papers.sheaf import paper_named, paper_titles
    from witnessmark.workshop.job_planning import CannotPlanError, LibraryError, plan_job

    try:
        (found,) = plan_job(Path(plan["folder"]), plan["machine"], plan["works"])
    except (CannotPlanError, LibraryError) as error:
        raise NoPaperError(str(error)) from None
    if found.pack["objects"] != plan["objects"]:
        raise NoPaperError(
            f"the machine file {plan['machine']} has changed since this job was planned: "
            "plan the job anew, or put the file back"
        )
    paper = paper_named(found.job, plan["name"])
    if paper is None:
        names = ", ".join(each["name"] for each in paper_titles(found.job))
        raise NoPaperError(f"this job has no paper '{plan['name']}'; it has: {names}")
    return paper.template, paper.content


def main() -> int:
    """Print one paper."""
    bound_myself()
    wanted = json.load(sys.stdin)
    try:
        pdf = printed(wanted)
    except NoPaperError as refusal:
        sys.stdout.buffer.write(str(refusal).encode())
        return REFUSED
    except MemoryError:
        sys.stdout.buffer.write(b"the paper is too large to be set here")
        return REFUSED
    sys.stdout.buffer.write(pdf)
    return 0


if __name__ == "__main__":
    sys.exit(main())
