"""What other programs read out of the papers: run by hand on a folder that `scribeline sheets CAR --to FOLDER` has written.

    pip install ezdxf pymupdf numpy
    python3 tests/reference/papers.py FOLDER

DXF: ezdxf reads and audits every file. PDF: MuPDF renders every page at 300 dpi, and the check rule, 100 mm and 4 in, is
measured on it in pixels. On cope templates the foot, once around the tube, is measured against pi times the diameter. Widths of Helvetica's
letters in src/sheets/font.rs are held to MuPDF's. Exits with 1 where anything is off by more than 0.2 mm or not clean.
"""

import pathlib
import re
import sys

import ezdxf
import numpy as np
import pymupdf

DPI = 300
MM = DPI / 25.4
OFF = 0.2  # mm
LINE = 0.2  # an outline's own width (src/sheets/drawing.rs), which a run of dark pixels has too, mm
FONT = pathlib.Path(__file__).parent.parent.parent / "src" / "sheets" / "font.rs"


def rendered(page):
    pixels = page.get_pixmap(dpi=DPI, colorspace=pymupdf.csGRAY)
    return np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.stride)[:, : pixels.width]


def longest_run(row):
    """Start and length in pixels of the longest dark stretch of a row."""
    dark = np.concatenate([[0], (row < 128).astype(np.int8), [0]])
    edges = np.diff(dark)
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    if not len(starts):
        return 0, 0
    k = np.argmax(ends - starts)
    return starts[k], ends[k] - starts[k]


def rules(page):
    """The two rules' lengths in mm, found as the lines that start 12 mm from the left edge near the page's foot."""
    image = rendered(page)
    found = []
    for row in image[-int(60 * MM) :]:
        start, length = longest_run(row)
        if abs(start / MM - 12) < 0.5 and 95 < length / MM < 106:
            found.append(length / MM)
    return found


def main(folder):
    bad = 0
    names = sorted(folder.glob("*.dxf"))
    for name in names:
        audit = ezdxf.readfile(name).audit()
        if audit.errors or audit.fixes:
            bad += 1
            print(f"{name.name}: {[e.message for e in audit.errors + audit.fixes][:3]}")
    print(f"ezdxf {ezdxf.__version__}: {len(names)} DXF files audited, {bad} not clean")

    worst, pages = 0.0, 0
    for name in sorted(folder.glob("*.pdf")):
        document = pymupdf.open(name)
        for i, page in enumerate(document):
            pages += 1
            said = page.get_text()
            if f"page {i + 1} of {len(document)}" not in said or "Print at 100 %" not in said:
                bad += 1
                print(f"{name.name} page {i + 1}: its number or its check is missing")
            lengths = rules(page)
            off = [min(abs(v - 100.0) for v in lengths), min(abs(v - 101.6) for v in lengths)] if lengths else [99.0]
            worst = max([worst] + off)
    print(f"MuPDF {pymupdf.VersionBind}: {pages} pages at {DPI} dpi, the rules off by at most {worst:.3f} mm")
    bad += worst > OFF

    bad += templates(folder)
    bad += widths()
    return bad


def templates(folder):
    """Of each cope the foot, once around the tube, on the rendered page against pi times the diameter."""
    path = folder / "copes.pdf"
    if not path.exists():
        print("no copes.pdf: no template measured")
        return 0
    worst = 0.0
    document = pymupdf.open(path)
    for page in document:
        said = " ".join(page.get_text().split())
        # An inch is told to two digits only: papers in inches may be off by pi times half of the last.
        found = re.search(r"Tube ([\d.]+) (mm|in) outside", said)
        inch = found.group(2) == "in"
        around = np.pi * float(found.group(1)) * (25.4 if inch else 1.0)
        spare = np.pi * 0.005 * 25.4 if inch else 0.0
        image = rendered(page)
        # The foot of the template is the widest whole line on the page that is neither rule: it starts where the outline does.
        lengths = {length / MM - LINE for row in image[: -int(30 * MM)] for _, length in [longest_run(row)] if length}
        worst = max(worst, min(abs(v - around) for v in lengths) - spare)
    print(f"{len(document)} cope templates: their foot, once around the tube, off by at most {worst:.3f} mm")
    return worst > OFF


def widths():
    text = FONT.read_text()
    table = [int(v) for v in re.search(r"WIDTHS: \[u16; 95\] = \[(.*?)\]", text, re.S).group(1).replace("\n", " ").split(",") if v.strip()]
    font = pymupdf.Font("helv")
    off = [(chr(32 + i), w, font.glyph_advance(32 + i) * 1000) for i, w in enumerate(table)]
    # MuPDF stands in a metric-compatible font of its own for Helvetica.
    wrong = [row for row in off if abs(row[1] - row[2]) > 1.0]
    print(f"Helvetica: {len(table)} widths, {len(wrong)} differ from MuPDF's: {wrong}")
    return len(wrong)


if __name__ == "__main__":
    sys.exit(1 if main(pathlib.Path(sys.argv[1])) else 0)
