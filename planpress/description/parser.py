"""A formula's tokens to a tree, by recursive descent.

From the loosest to the tightest: or; and; not; comparisons; + -; * /; minus before an operand; literals, names,
functions, parentheses.
"""

from __future__ import annotations

from collections.abc import Callable

from planpress.description.faults import FormulaError, did_you_mean, formula_error
from planpress.description.lexer import Token, tokens
from planpress.description.located import LocatedText
from planpress.description.tree import Call, Chain, Link, Literal, Prefix, Reference, Tree

MAX_DEPTH = 50

# Name -> least and greatest number of arguments.
FUNCTIONS = {
    "min": (1, 50),
    "max": (1, 50),
    "abs": (1, 1),
    "round": (1, 2),
    "floor": (1, 2),
    "ceil": (1, 2),
    "sqrt": (1, 1),
    "sin": (1, 1),
    "cos": (1, 1),
    "tan": (1, 1),
    "asin": (1, 1),
    "acos": (1, 1),
    "atan": (1, 1),
}
COMPARISONS = ("<", "<=", ">", ">=", "==", "!=")


def parse_tree(source: LocatedText) -> Tree:
    """The tree of a formula.

    Raises:
        FormulaError: with the place of the first fault.
    """
    return _Parser(source).whole()


class _Parser:
    def __init__(self, source: LocatedText) -> None:
        self.source = source
        self.tokens = tokens(source)
        self.index = 0
        self.depth = 0

    @property
    def token(self) -> Token:
        return self.tokens[self.index]

    def whole(self) -> Tree:
        if self.token.kind == "end":
            raise self.fault("an empty formula", "", self.token)
        tree = self.either()
        if self.token.kind != "end":
            raise self.stray()
        return tree

    def either(self) -> Tree:
        return self.chain(self.both, ("or",))

    def both(self) -> Tree:
        return self.chain(self.negation, ("and",))

    def negation(self) -> Tree:
        return self.prefix("not", self.negation, self.comparison)

    def comparison(self) -> Tree:
        return self.chain(self.sum, COMPARISONS)

    def sum(self) -> Tree:
        return self.chain(self.product, ("+", "-"))

    def product(self) -> Tree:
        return self.chain(self.signed, ("*", "/"))

    def signed(self) -> Tree:
        return self.prefix("-", self.signed, self.primary)

    def chain(self, operand: Callable[[], Tree], operators: tuple[str, ...]) -> Tree:
        """Operands of one rank."""
        first = operand()
        links: list[Link] = []
        end = first.end
        while self.token.kind == "operator" and self.token.text in operators:
            operator = self.take()
            right = operand()
            links.append(Link(operator.text, operator.start, right))
            end = right.end
        return Chain(first, tuple(links), first.start, end) if links else first

    def prefix(self, operator: str, again: Callable[[], Tree], otherwise: Callable[[], Tree]) -> Tree:
        """An operator before its operand, or the next rank."""
        if self.token.kind != "operator" or self.token.text != operator:
            return otherwise()
        sign = self.take()
        self.deeper(sign)
        operand = again()
        self.depth -= 1
        return Prefix(operator, operand, sign.start, operand.end)

    def primary(self) -> Tree:
        token = self.token
        if token.kind == "literal":
            self.take()
            assert token.value is not None
            return Literal(token.value, token.start, token.end)
        if token.kind == "name":
            self.take()
            if self.token.text == "(":
                return self.call(token)
            if token.text in FUNCTIONS:
                raise self.fault(f"the function {token.text} needs its value in parentheses", "", token)
            return Reference(token.text, token.start, token.end)
        if token.text == "(":
            return self.group()
        if token.kind == "end":
            raise self.fault("the formula ends too early", "a number or a name", token)
        raise self.fault(f"a number or a name is missing before '{token.text}'", "", token)

    def group(self) -> Tree:
        """A formula in parentheses."""
        opening = self.take()
        self.deeper(opening)
        inner = self.either()
        self.close(opening)
        self.depth -= 1
        return inner

    def call(self, name: Token) -> Tree:
        """A function with its arguments."""
        if name.text not in FUNCTIONS:
            raise formula_error(
                "unknown-function",
                f"unknown function '{name.text}'",
                self.source.place_at(name.start),
                hint=did_you_mean(name.text, FUNCTIONS) or "write * to multiply",
            )
        opening = self.take()
        self.deeper(opening)
        arguments = [] if self.token.text == ")" else [self.either()]
        while arguments and self.token.text == ",":
            self.take()
            arguments.append(self.either())
        end = self.close(opening).end
        self.depth -= 1
        least, most = FUNCTIONS[name.text]
        if not least <= len(arguments) <= most:
            wanted = str(least) if least == most else f"{least} to {most}"
            raise self.fault(f"{name.text} has {len(arguments)} values in parentheses", wanted, name)
        return Call(name.text, tuple(arguments), name.start, end)

    def close(self, opening: Token) -> Token:
        """The parenthesis that closes `opening`."""
        if self.token.kind == "end":
            hint = "in [ ] and { }, put quotes around a formula that has a comma in it"
            raise self.fault("this parenthesis is not closed", "", opening, hint)
        if self.token.text != ")":
            raise self.stray()
        return self.take()

    def stray(self) -> FormulaError:
        """The fault of a token that does not go on with what stands before it."""
        token = self.token
        if token.text == ")":
            return self.fault("this parenthesis was never opened", "", token)
        if token.text == ",":
            return self.fault("a comma may stand only between the values of a function", "", token)
        hint = "write * to multiply" if token.kind != "operator" or token.text == "(" else ""
        return self.fault(f"an operator is missing before '{token.text}'", "+ - * / or a comparison", token, hint)

    def deeper(self, token: Token) -> None:
        self.depth += 1
        if self.depth > MAX_DEPTH:
            raise self.fault(f"parentheses are nested more than {MAX_DEPTH} deep", "", token)

    def take(self) -> Token:
        token = self.token
        self.index += 1
        return token

    def fault(self, message: str, expected: str, token: Token, hint: str = "") -> FormulaError:
        return formula_error("formula", message, self.source.place_at(token.start), expected, hint)
