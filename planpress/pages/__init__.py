"""Floor 6: the pages of a plan set.

`compose` makes one edition's plan set: bytes of a tagged PDF, the list of its pages, its bookmarks and the place
of the personal stamp.

    from planpress.pages import compose
    plan_set = compose(solved_plan, edition, solids, texts)     # texts: {"cover.j2": "..."}, read by `app`

How a set comes about
    1. Each composer (`cover`, `reading`, `parts`, `part_pages`, `joint_pages`, `setup_pages`, `steps`,
       `colophon`,
       `template_pages`) gives `Sheet`s: a head, a foot and columns of flowables in block coordinates (mm from the
       block's upper left corner, y DOWN; the block of 180 x 252 mm is the same on every paper, see `block`). Nothing is
       drawn yet. Heights are measured by asking the flowables; what does not fit goes on another sheet, never into
       smaller type.
    2. `plan_set.all_sheets` puts the sheets in printed order. How to read comes second but is composed last: its
       legend explains the signs that the others use (`Context.signs`).
    3. `plan_set.page_numbers` finds where everything came to stand. As pages name other pages, 1 and 2 are
       repeated until the numbers no longer change (twice, as a rule); figures are drawn once and kept by
       `drawings`.
    4. `sheets.write_sheets` makes each sheet a page template of ReportLab's Platypus, with a frame for each
       column, and builds the story of all. A sheet that does not hold what it is given is an error, not a new
       page.

Modules, from the ground up
    block, typography, wording    where things go; type; small words
    texts                         jinja2 texts in a sandbox; faults name their place
    elements                      `Element`: base of our flowables, laid out in mm
    notes, tables                 headings, notes, cautions, checks, lists; ruled tables
    chrome, sheets                head and foot; sheets and how they become a file
    context                       what all composers share; the protocol `Drawings`
    remarks, step_entries         model and work in the words of the pages
    cover, reading, parts, part_pages, joint_pages, setup_pages, steps, colophon,
    template_pages                the composers
    drawings, plan_set            figures of the real plan; the whole set

How to add a page
    1. Write its words as blocks of a new file `templates/<name>.j2`. Blocks are paragraph markup; values are
       escaped; a name without a value stops the build. `context.text(name, block, value=...)` renders one;
       `page("key")` in a block names another page.
    2. Write a module with a `KEY` (its bookmark) and a function `name(context)` that returns a `Sheet` or a list
       of them. Begin with `section = Node("Sect")` and `Head(titles, purpose, section)`, longest title first.
       Then make the flowables in READING order, each with a node that is added to the section as it is made: the
       structure tree is complete before anything is drawn, so the reading order never depends on the layout.
       Pages that continue another share its section and have a head without one.
    3. Place the flowables with `Column.filled(x, y, width, flowables)`. Draw figures with `context.picture`, so
       that the legend knows their signs. Take all numbers from the model and write them with the edition.
    4. For a new kind of thing subclass `Element` and implement `lay_out(width)`, which places everything and
       returns the height. Make structure nodes in `__init__`, never in `lay_out`, which is called more than once.
    5. Add the sheets to `plan_set.all_sheets` with a short title for the list on the cover.
    6. Look at the page beside its neighbours on both papers. `tests/pages/layout_check.py` finds text on text or
       lines, ink outside the block and type below 9 pt.
"""

import planpress.writers.pdf  # noqa: F401 (first of all: it says what of ReportLab can wait)
from planpress.pages.plan_set import PageInfo, PlanSet, compose

__all__ = ["PageInfo", "PlanSet", "compose"]
