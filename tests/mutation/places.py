"""Where C++ text could be wrong by a slip: places to change, each with the changed text beside the original.

The code is clang-format's, so an operator between two spaces is a binary one, and a bracket of a template has none.
What is proposed may not compile (a constant, a type that does not convert): the compiler says so, and it is dropped.
"""
import re
from dataclasses import dataclass

# Binding strength: an operand ends where a weaker operator begins.
STRENGTH = {"*": 9, "/": 9, "%": 9, "+": 8, "-": 8, "<<": 7, ">>": 7, "<": 6, "<=": 6, ">": 6, ">=": 6, "==": 5,
            "!=": 5, "&": 4, "|": 4, "^": 4, "&&": 3, "||": 2, "?": 1, ":": 1, "=": 0, "+=": 0, "-=": 0, "|=": 0,
            "&=": 0, "*=": 0, "/=": 0, "<<=": 0, ">>=": 0}
CHANGED = {"<": ["<=", ">"], "<=": ["<"], ">": [">=", "<"], ">=": [">"], "==": ["!="], "!=": ["=="], "&&": ["||"],
           "||": ["&&"], "+": ["-"], "-": ["+"], "*": ["+"], "/": ["*"], "%": ["/"]}
OPERATOR = re.compile(r"(?<=\s)(<<=|>>=|&&|\|\||<=|>=|==|!=|\+=|-=|\|=|&=|\*=|/=|<<|>>|[-+*/%<>?:=&|^])(?=\s)")
OPEN, CLOSE = "([{", ")]}"


@dataclass
class Place:
    kind: str
    begin: int
    end: int
    original: str
    changed: str  # an expression to stand for `original`
    statement: bool = False


def blanked(text):
    """The text with comments, strings and preprocessor lines as spaces, same length."""
    out = list(text)
    pattern = re.compile(r'//[^\n]*|/\*.*?\*/|R"(\w*)\(.*?\)\1"|"(?:\\.|[^"\\\n])*"'
                         r"|(?<![0-9A-Fa-f])'(?:\\.|[^'\\\n])+'|^[ \t]*#[^\n]*(?:\\\n[^\n]*)*", re.S | re.M)
    for match in pattern.finditer(text):
        literal = match.group()[0] in "\"'R"
        for i in range(match.start(), match.end()):
            if out[i] != "\n":
                out[i] = "_" if literal else " "
    return "".join(out)


def left_end(code, at, strength):
    """Where the operand left of `at` begins."""
    depth = 0
    i = at - 1
    while i >= 0:
        c = code[i]
        if c in CLOSE:
            depth += 1
        elif c in OPEN:
            if depth == 0:
                return i + 1
            depth -= 1
        elif depth == 0:
            if c in ",;":
                return i + 1
            if c == " " or c == "\n":
                word = re.search(r"(\S+)$", code[max(0, i - 12):i])
                last = word.group(1) if word else ""
                if last in ("return", "throw", "co_return", "case", "else"):
                    return i + 1
                alone = i - len(last) > 0 and code[i - len(last) - 1].isspace()
                if alone and STRENGTH.get(last, strength) < strength:
                    return i + 1
        i -= 1
    return None


def right_end(code, at, strength):
    """Where the operand right of `at` ends."""
    depth = 0
    i = at
    while i < len(code):
        c = code[i]
        if c in OPEN:
            depth += 1
        elif c in CLOSE:
            if depth == 0:
                return i
            depth -= 1
        elif depth == 0:
            if c in ",;":
                return i
            if c.isspace():
                operator = OPERATOR.match(code, i + 1) if i + 1 < len(code) and not code[i + 1].isspace() else None
                if operator and STRENGTH.get(operator.group(1), 0) <= strength:
                    return i
        i += 1
    return None


def within(text, code, begin, end):
    while begin < end and code[begin].isspace():
        begin += 1
    while end > begin and code[end - 1].isspace():
        end -= 1
    return begin, end


def operators(text, code):
    for match in OPERATOR.finditer(code):
        operator = match.group(1)
        for other in CHANGED.get(operator, []):
            begin = left_end(code, match.start() - 1, STRENGTH[operator])
            end = right_end(code, match.end(), STRENGTH[operator])
            if begin is None or end is None:
                continue
            begin, end = within(text, code, begin, end)
            left, right = text[begin:match.start()].strip(), text[match.end():end].strip()
            if operator in "+-" and '"' in text[begin:end]:  # a text put together
                continue
            if not left or not right or end - begin > 400 or "{" in code[begin:end] or "[&" in code[begin:end]:
                continue
            if re.search(r"(?<![=!<>])=(?!=)", code[begin:end]) or re.match(r"(const |auto |using |template)", left):
                continue
            yield Place("operator", begin, end, text[begin:end], f"({left}) {other} ({right})")


def bounds(text, code):
    for match in re.finditer(r"(?<![\w.'])(\d+)(U|UL|ULL)?(?![\w.'])", code):
        value = int(match.group(1))
        for other in {value + 1, max(0, value - 1)} - {value}:
            suffix = match.group(2) or ""
            yield Place("bound", match.start(), match.end(), match.group(), f"{other}{suffix}")


def calls(text, code):
    for match in re.finditer(r"(?<=[;{}\n])[ \t]*\n([ \t]+)([A-Za-z_][\w:.]*(?:->[\w.]+)*\()", code):
        begin = match.start(2)
        end = right_end(code, begin, -1)
        if end is None or code[end] != ";" or code[end - 1] != ")" or end - begin > 400 or "[&" in code[begin:end]:
            continue
        name = match.group(2)
        if name in ("if(", "for(", "while(", "switch(", "return(") or "static_assert" in name:
            continue
        if name.endswith(("reserve(", "shrink_to_fit(")):  # these change no answer
            continue
        yield Place("call", begin, end, text[begin:end], "", True)


def swaps(text, code):
    name = r"(\w+(?:\.\w+|->\w+)*)"
    for match in re.finditer(rf"[\w>]\({name}, {name}\)(?!\s*(?:const\s*)?(?:noexcept\s*)?\{{)", code):
        a, b = match.group(1), match.group(2)
        if a == b or a[0].isdigit() or b[0].isdigit() or "_" * len(a) == a or "_" * len(b) == b:
            continue
        begin, end = match.start(1), match.end(2)
        yield Place("swap", begin, end, text[begin:end], f"{b}\0{a}")


def conditions(text, code):
    for match in re.finditer(r"\b(?:if|while) \(", code):
        begin = match.end()
        end = right_end(code, begin, -1)
        if end is None or code[end] != ")" or end - begin > 300:
            continue
        inner = code[begin:end]
        if inner in ("true", "false") or ";" in inner or "[&" in inner or re.search(r"(?<![=!<>])=(?!=)", inner):
            continue
        yield Place("condition", begin, end, text[begin:end], f"!({text[begin:end]})")
    for match in re.finditer(r"\breturn (true|false);", code):
        other = "false" if match.group(1) == "true" else "true"
        yield Place("returned", match.start(1), match.end(1), match.group(1), other)


def places(text):
    code = blanked(text)
    # What is outside of functions is declared, and the switch is no constant.
    for kind in (operators, bounds, calls, swaps, conditions):
        yield from kind(text, code)


def switched(place, number):
    """The text that stands for a place: the original unless the mutant's number is chosen."""
    if place.statement:
        return f"(keepway_mutant({number}) ? void() : void({place.original}))"
    if place.kind == "swap":
        b, a = place.changed.split("\0")
        return f"keepway_mutant({number}) ? {b} : {a}, keepway_mutant({number}) ? {a} : {b}"
    if place.kind == "condition":
        return f"keepway_mutant({number}) != static_cast<bool>({place.original})"
    return f"(keepway_mutant({number}) ? ({place.changed}) : ({place.original}))"
