"""PDF: tagged pages, figures at true size, one file from start to bytes.

    from planpress.writers.pdf.writing import PdfWriter
    from planpress.writers.pdf.document import DocumentSettings

    pdf = PdfWriter(DocumentSettings("Seedling stand", date(2026, 5, 12), author="Demo Workshop"))
    page = pdf.tags.add("Sect")                                   # the tree first ...

    # ... then marks: drawn directly, in points, y up
    canvas = pdf.new_canvas((612, 792))
    canvas.write(51, 720, "Parts", Face.LIGHT, 24, node=page.add("H1"))
    row = page.add("Table").add("TR")
    canvas.write(51, 680, "Slat", node=row.add("TD"))
    canvas.draw_figure(figure, 51, 300, node=page.add("Figure"))  # alternative text from figure.alt
    with canvas.artifact("Footer"):                               # everything else must lie in an artifact
        canvas.write(51, 40, "1 of 1", Face.SEMIBOLD, 9.5)
        canvas.place_stamp(300, 40)                               # for personal copies
    canvas.bookmark("parts", "Parts")                             # for links and the viewer's outline
    canvas.label_page("1")
    written = canvas.finish()                                     # .data, .place

    # ... or through a template of ReportLab's Platypus
    body = ParagraphStyle("body", fontName=font_name(Face.REGULAR), fontSize=10, leading=12.76)
    items = page.add("L")
    label, text = items.list_item()
    story = [
        TaggedParagraph("Rip <b>two</b> boards, see <a href='#parts'>the parts</a>.", body, page.add("P")),
        TaggedParagraph("Cut the slats.", body, text, label, bulletText="a"),
        FigureFlowable(figure, page.add("Figure")),
    ]
    template = BaseDocTemplate(None, pagesize=(612, 792), initialFontName=font_name(Face.REGULAR))
    template.addPageTemplates(PageTemplate("page", [Frame(51, 72, 510, 640)], onPage=draw_head_and_foot))
    template.build(story, canvasmaker=pdf.canvasmaker)
    written = pdf.written()

Modules, from the ground up: `imports` (what of ReportLab can wait), `hooks` (the inner names of ReportLab that the
others need), `fonts`, `painting` (display list to operators), `structure` (the tree of tags), `stamp` (personal
copies), `elements` and `assembly` (objects and the file around them), `document`, `canvas`, `flowables`, `writing`.
`fonts.Metrics` measures text for figures and pages; `stamp.stamped` writes a copy.
"""

from planpress.writers.pdf import imports as imports
