"""The wording of the pages: jinja2 templates in named blocks, and the texts a maker wrote with values in them.

A template file holds the texts of one page kind, each in a `{% block name %}`. Blocks are paragraph markup: `<b>`
is bold, values put into them are escaped. A maker's own text is plain; what looks like markup in it is printed as
it stands. Both are rendered in jinja2's sandbox, and a name without a value is a fault, not an empty string.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from typing import Any

import jinja2
from jinja2.sandbox import ImmutableSandboxedEnvironment

from planpress.base.diagnostics import Diagnostic, Place, PlanFaults, Severity
from planpress.base.edition import Edition
from planpress.base.printing import write_angle, write_length, write_mass, write_time
from planpress.base.quantities import ANGLE, COUNT, LENGTH, MASS, TIME, Quantity
from planpress.pages.wording import counted, in_words, listed, lower_first, plural

#: Ending of the files' names.
SUFFIX = ".j2"
_BLANKS = re.compile(r"[ \t\r\n]+")


def written(quantity: Quantity, edition: Edition) -> str:
    """A value as the edition prints it: lengths without a unit (the foot names it), the others with theirs.

    Raises:
        ValueError: if there is no way to print its dimension in a text.
    """
    value = quantity.value
    if quantity.dimension == COUNT:
        return str(value.numerator) if value.denominator == 1 else f"{float(value):.4g}"
    if quantity.dimension == LENGTH:
        whole = value % edition.length_grid.step == 0
        return edition.length(value) if whole else edition.joint(value)
    if quantity.dimension == ANGLE:
        return write_angle(value)
    if quantity.dimension == TIME:
        return write_time(value)
    if quantity.dimension == MASS:
        return write_mass(value, edition.units)
    raise ValueError(f"{quantity.dimension.words} cannot be printed in a text")


class Texts:
    """Renders the texts of one edition.

    Args:
        sources: file name ("cover.j2") -> its text; given by `app`, which reads the files.
        edition: how values are printed.
    """

    def __init__(self, sources: Mapping[str, str], edition: Edition) -> None:
        self.edition = edition
        self._environment = self._new_environment(autoescape=True)
        self._environment.loader = jinja2.DictLoader(dict(sources))
        self._plain = self._new_environment(autoescape=False)

    def _new_environment(self, autoescape: bool) -> ImmutableSandboxedEnvironment:
        environment = ImmutableSandboxedEnvironment(undefined=jinja2.StrictUndefined, autoescape=autoescape)
        environment.finalize = self._finalize
        environment.filters.update(
            words=self._words,
            unit=self._unit,
            feet=self._feet,
            joint=self._joint,
            listed=listed,
            plural=plural,
            counted=lambda count, noun: counted(int(count), noun),
            lower_first=lower_first,
        )
        environment.globals = {"unit_name": self.edition.unit_name, "is_metric": self.edition.is_metric}
        return environment

    def block(self, name: str, block: str, /, **values: object) -> str:
        """One block of a template ("cover") as paragraph markup on one line.

        Raises:
            PlanFaults: if the template is faulty, has no such block or needs a value that is not given.
        """
        name += SUFFIX
        try:
            template = self._environment.get_template(name)
            if block not in template.blocks:
                raise PlanFaults([_fault(name, 1, f"the texts of {name!r} have no block {block!r}", "add the block")])
            context = template.new_context(values)
            return _on_one_line("".join(template.blocks[block](context)))
        except jinja2.TemplateNotFound:
            raise PlanFaults([_fault(name, 1, f"there are no texts {name!r}", "add the file")]) from None
        except jinja2.TemplateSyntaxError as error:
            message = f"the texts of {name!r} cannot be read: {error.message}"
            raise PlanFaults([_fault(name, error.lineno, message, "")]) from None
        except (jinja2.TemplateError, TypeError, ValueError, ArithmeticError) as error:
            message = f"block {block!r} of {name!r}: {error}"
            line = _line_in_template(error, self._environment.get_template(name))
            raise PlanFaults([_fault(name, line, message, "")]) from None

    def has(self, name: str, block: str) -> bool:
        """True if the template exists and has the block."""
        try:
            return block in self._environment.get_template(name + SUFFIX).blocks
        except jinja2.TemplateNotFound:
            return False

    def of_maker(self, text: str, values: Mapping[str, Quantity], what: str, place: Place | None) -> str:
        """A text of the plan with its values filled in, as plain text.

        Args:
            values: parameters and formulas of the plan.
            what: what the text is, for messages ("introduction").
            place: where it stands in the plan.

        Raises:
            PlanFaults: if it cannot be rendered, with that place.
        """
        try:
            rendered = self._plain.from_string(text).render(dict(values))
        except jinja2.UndefinedError as error:
            name = str(error).split("'")[1] if "'" in str(error) else ""
            close = difflib.get_close_matches(name, list(values), n=1)
            raise PlanFaults(
                [
                    Diagnostic(
                        "text-unknown-value",
                        Severity.ERROR,
                        f"{what}: there is no value named {name!r}" if name else f"{what}: {error}",
                        place,
                        "a parameter or formula of the plan",
                        f"did you mean {close[0]!r}?" if close else "",
                    )
                ]
            ) from None
        except (jinja2.TemplateError, TypeError, ValueError, ArithmeticError) as error:
            message = getattr(error, "message", None) or str(error)
            raise PlanFaults(
                [
                    Diagnostic(
                        "text-faulty",
                        Severity.ERROR,
                        f"{what}: {message}",
                        place,
                        "text with values such as {{ name }} or {{ name | words }}",
                    )
                ]
            ) from None
        return _on_one_line(rendered)

    # --- what templates may use ---

    def _finalize(self, value: Any) -> Any:
        return written(value, self.edition) if isinstance(value, Quantity) else value

    def _words(self, value: Any) -> str:
        """A count in words."""
        if isinstance(value, Quantity):
            if value.dimension != COUNT or value.value.denominator != 1:
                raise ValueError(f"only whole counts have words, not {written(value, self.edition)}")
            return in_words(int(value.value))
        return in_words(int(value))

    def _unit(self, value: Any) -> str:
        """A length with its unit."""
        return write_length(_length(value, "unit"), self.edition.length_grid, unit=True)

    def _feet(self, value: Any) -> str:
        """A length in feet and inches; with its unit in metric."""
        return write_length(_length(value, "feet"), self.edition.length_grid, feet=True, unit=True)

    def _joint(self, value: Any) -> str:
        """A length on the finer grid of joints."""
        return self.edition.joint(_length(value, "joint"))


def _length(value: Any, filter_name: str) -> Any:
    if isinstance(value, Quantity) and value.dimension == LENGTH:
        return value.value
    raise ValueError(f"the filter {filter_name!r} is for lengths")


def _fault(name: str, line: int, message: str, hint: str) -> Diagnostic:
    return Diagnostic("text-faulty", Severity.ERROR, message, Place(name, line, 1), "", hint)


def _on_one_line(text: str) -> str:
    """Without line ends and runs of blanks; non-breaking spaces stay."""
    return _BLANKS.sub(" ", text).strip(" ")


def _line_in_template(error: BaseException, template: jinja2.Template) -> int:
    """The line of the template from which an error was raised: that of the last step within its compiled code."""
    line = 1
    step = error.__traceback__
    while step is not None:
        if step.tb_frame.f_code.co_filename == (template.filename or "<template>"):
            line = template.get_corresponding_lineno(step.tb_lineno)
        step = step.tb_next
    return line
