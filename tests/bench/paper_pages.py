"""Print everything in a real browser and look at the pages: how many, how large, and with room to spare.

Run with the interpreter of an environment that has the package: `python tests/bench/paper_pages.py`; a word behind
it picks the pages with that word in their name.
Needs chromium and pdfinfo, pdftotext (poppler); where they are missing it says so and checks nothing.
Every page is printed three times: as it is, on paper a tenth shorter, and in a wider font. Each time the number
of pages must be the same and every word must lie between the margins.
Ends with 1 when something does not fit.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

from made_papers import HARMFUL, rota_named, rota_of

from greenrota import load, schedule
from greenrota.rota.rota import Rota
from greenrota.views.card.card_page import cards_html
from greenrota.views.card.nutrient_card import nutrient_card
from greenrota.views.card.vessel_card import vessel_card
from greenrota.views.labels.label import labels
from greenrota.views.labels.label_page import Cut, labels_html, per_page
from greenrota.views.month.month import month
from greenrota.views.month.month_page import month_html
from greenrota.views.paper.camera import code_svg
from greenrota.views.paper.page import PAPERS, Paper
from greenrota.views.sheet.sheet import sheet_html

SPARE = 0.90  # the shorter paper: a tenth is kept for other fonts
WIDER = "DejaVu Sans, Verdana, sans-serif"  # about a tenth wider than the usual sans-serif
QUIET = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"),
    *("--disable-background-networking", "--disable-component-update", "--no-pdf-header-footer"),
)
EXAMPLES = Path(__file__).parents[2] / "examples"
LABEL = Cut(60, 40)
SAFETY = ("NOT", "FOOD", "keep", "from", "children")
LONG = tuple(f"a vessel with a long name on shelf no {n:02d}" for n in range(12))


@dataclass(frozen=True)
class Job:
    """A page to print; `pages` is how many there must be, None: whatever it is, it must stay."""

    name: str
    html: str
    paper: Paper
    pages: int | None
    shrinks: bool = True


def jobs() -> Iterator[Job]:
    rotas = {"1 vessel": rota_of(1), "12 vessels": rota_of(12), "12 long names": rota_named(LONG)}
    rotas |= {name: schedule(load(EXAMPLES / f"{name}.toml")) for name in ("shelf", "us-pair", "corner")}
    for what, rota in rotas.items():
        yield from _cards(what, rota, overleaf=what == "12 long names")
        for size in ("a4", "letter"):
            yield _sheet(what, rota, PAPERS[size])
            yield _labels(what, rota, PAPERS[size])
            yield _month(what, rota, PAPERS[size])
    harmful = rota_named(HARMFUL)
    yield _sheet("harmful names", harmful, PAPERS["a4"])
    yield _labels("harmful names", harmful, PAPERS["a4"])
    yield _month("harmful names", harmful, PAPERS["a4"])


def _month(what: str, rota: Rota, paper: Paper) -> Job:
    html = month_html(month(rota), paper.turned())
    pages = html.count("<section")
    return Job(f"month, {what}, {paper.name}, {pages}-page", html, paper.turned(), pages, False)


def _sheet(what: str, rota: Rota, paper: Paper) -> Job:
    name = f"sheet, {what}, {paper.name}"
    html = sheet_html(rota, rota.tasks, paper)
    return Job(name, html, paper.turned(), html.count("<section"), False)


def _cards(what: str, rota: Rota, overleaf: bool) -> Iterator[Job]:
    bottle = next(iter(rota.plan.nutrients))
    for size, paper in PAPERS.items():
        goes_on = overleaf and size in ("a6", "4x6")
        html = cards_html([nutrient_card(rota, bottle)], paper)
        yield Job(f"bottle card, {what}, {size}", html, paper, None if goes_on else 1, not goes_on)
        html = cards_html([vessel_card(rota, next(iter(rota.benches)))], paper)
        yield Job(f"vessel card, {what}, {size}", html, paper, 1)


def _labels(what: str, rota: Rota, paper: Paper) -> Job:
    told = labels(rota, rota.as_of + timedelta(days=13))
    across, down = per_page(LABEL, paper)
    html = labels_html(told, LABEL, paper, [code_svg(label.code) for label in told])
    return Job(f"labels, {what}, {paper.name}", html, paper, -(-len(told) // (across * down)), False)


def shorter(job: Job) -> str:
    old = f"size: {job.paper.width_mm:g}mm {job.paper.height_mm:g}mm"
    height_mm = job.paper.room_mm[1] * SPARE + 2 * job.paper.margin_mm
    assert old in job.html
    return job.html.replace(old, f"size: {job.paper.width_mm:g}mm {height_mm:g}mm")


def wider(job: Job) -> str:
    return job.html.replace("</style>", f"html {{ font-family: {WIDER}; }}</style>", 1)


def printed(html: str, folder: Path) -> Path:
    page, pdf = folder / "page.html", folder / "page.pdf"
    page.write_text(html, encoding="utf-8")
    command = [
        "chromium",
        *QUIET,
        f"--user-data-dir={folder / 'profile'}",
        f"--print-to-pdf={pdf}",
        page.as_uri(),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return pdf


def info(pdf: Path) -> tuple[int, float, float]:
    told = subprocess.run(["pdfinfo", str(pdf)], check=True, capture_output=True, encoding="utf-8").stdout
    size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", told)
    pages = re.search(r"Pages:\s+(\d+)", told)
    assert size and pages
    return int(pages[1]), float(size[1]), float(size[2])


def outside(pdf: Path, paper: Paper) -> list[str]:
    """Words that reach into the margins at the right or the left, by a millimetre or more."""
    told = subprocess.run(
        ["pdftotext", "-bbox", str(pdf), "-"], check=True, capture_output=True, encoding="utf-8"
    )
    edge = (paper.margin_mm - 1.0) / 25.4 * 72
    last = paper.width_mm / 25.4 * 72 - edge
    words = re.findall(
        r'<word xMin="([-\d.]+)" yMin="[-\d.]+" xMax="([-\d.]+)"[^>]*>(.*?)</word>', told.stdout
    )
    return [word for left, right, word in words if float(left) < edge or float(right) > last]


def faults(job: Job) -> list[str]:
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        pdf = printed(job.html, folder)
        pages, width, height = info(pdf)
        found = [f"outside the margins: {word}" for word in outside(pdf, job.paper)]
        if (
            abs(width - job.paper.width_mm / 25.4 * 72) > 1
            or abs(height - job.paper.height_mm / 25.4 * 72) > 1
        ):
            found.append(f"the page is {width} x {height} pt")
        if job.pages is not None and pages != job.pages:
            found.append(f"{pages} pages, {job.pages} are wanted")
        if job.shrinks and (now := info(printed(shorter(job), folder))[0]) != pages:
            found.append(f"{now} pages on a shorter paper, {pages} before")
        pdf = printed(wider(job), folder)
        found += [f"outside the margins in a wider font: {word}" for word in outside(pdf, job.paper)]
        if (job.shrinks or job.pages) and (now := info(pdf)[0]) != pages:
            found.append(f"{now} pages in a wider font, {pages} before")
        if job.name.startswith("sheet"):
            found += without_cautions(pdf)
        if job.name.startswith("labels"):
            cut = cut_words(pdf, job.paper)
            # forty wide letters in a row may be cut at the smallest type; what keeps people safe never
            found += [word for word in cut if "harmful" not in job.name or word.split()[-1] in SAFETY]
    return found


def cut_words(pdf: Path, paper: Paper) -> list[str]:
    """Words of labels that reach over the lower edge of their label, where they would be cut."""
    told = subprocess.run(
        ["pdftotext", "-bbox", str(pdf), "-"], check=True, capture_output=True, encoding="utf-8"
    )
    words = re.findall(r'yMin="([-\d.]+)" xMax="[-\d.]+" yMax="([-\d.]+)">(.*?)</word>', told.stdout)
    rows = [
        [
            ((float(y) / 72 * 25.4) - paper.margin_mm) / LABEL.height_mm
            for y in (top, (float(top) + float(low)) / 2)
        ]
        for top, low, _ in words
    ]
    return [
        f"cut: {word[2]}" for (top, middle), word in zip(rows, words, strict=True) if int(top) != int(middle)
    ]


def without_cautions(pdf: Path) -> list[str]:
    """Pages of a task sheet that have tasks and no caution."""
    told = subprocess.run(
        ["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, encoding="utf-8"
    )
    pages = told.stdout.split("\f")
    lacking = [n for n, page in enumerate(pages, 1) if "batch" in page and "Always" not in page]
    return [f"page {n} has tasks and no cautions" for n in lacking]


def main(only: str = "") -> int:
    missing = [tool for tool in ("chromium", "pdfinfo", "pdftotext") if shutil.which(tool) is None]
    if missing:
        print(f"nothing checked: {', '.join(missing)} not found")
        return 0
    everything = [job for job in jobs() if only in job.name]
    with ThreadPoolExecutor(2) as pool:
        results = list(pool.map(faults, everything))
    for job, found in zip(everything, results, strict=True):
        print(f"{'FAILED' if found else 'ok':6}  {job.name}", *found[:5], sep="\n        " if found else "")
    print(f"{len(everything)} pages printed, {sum(map(bool, results))} do not fit")
    return int(any(results))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:2]))
