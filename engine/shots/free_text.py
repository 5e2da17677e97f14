"""Carries as people write them, without headings: "7i: 150 148 152 - 9i 128,131", a club above its carries, notes between.

A line is cut into pieces at the clubs it names. A number that may be something else than a carry of its piece's club is
never taken for one: its piece is left out, with the reason.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from .cells import UNITS, Quantity, Unit, bare
from .club_names import WEDGE_LOFTS, maybe_club, part_swing, plain, unsure_h
from .dates import day_of, worded
from .labels import ASIDE, COUNT, GRIPPED, HEADING, LINE_SUMMARY, MEAN, MISHIT, PASSED, SPREAD
from .remarks import Finding, Question, Reason, Remarks
from .rows import Row, label_line
from .swing_sizes import Sizes, reach, without_reach

MOST_LINE = 2_000  # characters
WIDEST = 2.5  # ratio of the largest to the smallest carry that one piece may hold
SHORTEST = 20.0  # in metres or yards: no full swing carries less
SHORTEST_PART = 5.0  # the same of a part swing
NEAR = 1.5  # ratio within which a number after an unknown word is still a carry like its neighbours
MOST_WORDS = 8  # words that are not understood, beyond which a piece is prose
_DATE = (
    r"\d{4}[-./]\d{1,2}[-./]\d{1,2}|\d{1,2}[-./]\d{1,2}[-./](?:\d{4}|\d{2})(?!\d)|\d{4}年\d{1,2}月\d{1,2}日"
)
_TOKEN = re.compile(
    rf"(?P<date>(?<![\d.,])(?:{_DATE}))|(?P<time>(?<!\d)\d{{1,2}}:[0-5]\d(?::\d\d)?(?!\d))|(?P<number>\d+(?:[.,]\d+)*)"
    r"|(?P<word>[^\W\d_]+(?:/[^\W\d_]+)?|°)|(?P<mark>\S)"
)
_BALL_AFTER = re.compile(r"[ :=]*\d+(?:[.,]\d+)?(?: ?(?:m|yds?|y|yards?|met\w+))? ?(?:[;)|&]|,(?!\d)|$)")
_QUANTITY = re.compile(
    r"speed|spin|launch|angle|height|apex|velocity|^side$|offline|smash|geschwindigkeit|tempo$|drall|winkel|hohe$|seitlich|"
    r"vitesse|lancement|hauteur|velocidad|altura|hastighet|vinkel|hojd|スピード|スピン|初速|打ち?出し"
)


@dataclass(slots=True)
class Number:
    """A number of a piece: its value, its unit, the word that says what it is, what stands around it."""

    value: float
    unit: Unit | None = None
    after: str = ""  # word, or mark such as "=", right before it
    unknown: bool = False  # the word right before it is not understood
    bracket: bool = False
    role: str = "carry"


@dataclass(slots=True)
class Piece:
    """A club and what is written after it, up to the next club."""

    club: str | None
    name: str
    text: str = ""
    numbers: list[Number] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    doubt: str = ""
    mishit_next: bool = False  # the next number is a mishit's


@dataclass
class Loose:
    """Reads lines without headings; a line without a club belongs to the club above it."""

    clubs: Mapping[str, str]
    club: str | None
    mark: str  # "," or "." where the reader has said it, else ""
    report: Remarks
    sizes: Sizes = field(default_factory=Sizes)
    swings: str = ""
    rows: list[Row] = field(default_factory=list)
    unit: Unit | None = None
    unknown: str = ""
    player: str = ""
    day: str = ""
    _below_size: Reason | None = None  # the last club stood beside a part swing
    labels: bool = False  # players were told by the words before clubs, not by a label that says so

    def read(self, lines: list[tuple[int, str]]) -> None:
        """Read all lines into ``rows``."""
        own = sorted((plain(name) for name in self.clubs), key=len, reverse=True)
        self._own = re.compile("|".join(map(re.escape, filter(None, own))) or r"(?!)")
        self._by_plain = {plain(name): club for name, club in self.clubs.items()}
        self._text = " ".join(line for _, line in lines)[:100_000]
        self._commas = self._commas_are(lines)
        parsed: list[tuple[int, str, list[Piece]]] = []
        self._sizes: dict[int, str] = {}
        held: dict[int, Reason] = {}
        for number, line in lines:
            sizes, rest = self.sizes.within(line) if len(line) <= MOST_LINE else ((), line)
            if len(line) > MOST_LINE:
                self.report.leave(number, line, "too_long")
            elif part_swing(rest) or (self.swings == "part" and self._open(rest)):
                self.report.leave(number, line, "part_swing", line)
                held[number] = "part_swing"
            elif not self.swings and (swing := self._open(rest)):
                self.report.open_swing(number, line, swing)
                held[number] = "swing_open"
            else:
                rest = without_reach(rest) if self._open(rest) else rest
                pieces = self._pieces(rest)
                if sizes:
                    self._sizes[number] = sizes[0]
                    if len(sizes) > 1 or len(pieces) > 2:
                        pieces = [Piece(None, "", doubt="several_sizes")]
                parsed.append((number, line, pieces))
        leads = [pieces[0].numbers for _, _, pieces in parsed if len(pieces) == 1]
        self._numbered = any(len(numbers) > 1 and numbers[0].value == 1 for numbers in leads)
        self._people(parsed)
        before = 0
        for at, (number, line, pieces) in enumerate(parsed):
            self._below_size = next(
                (why for n, why in reversed(held.items()) if before < n < number), self._below_size
            )
            before = number
            self._line(number, line, pieces, parsed[at + 1][2] if at + 1 < len(parsed) else [])
        self._drop_summaries()

    def _open(self, line: str) -> str:
        """The words of a line that may say that its swing was not a full one."""
        return reach(self._own.sub(" ", plain(line)))

    # words to pieces

    def _pieces(self, line: str) -> list[Piece]:
        """A line cut at its clubs; the first piece holds what stands before any club."""
        text = re.sub(r"(?<=\d)-(?=[^\W\d])|[#_\"]|(?<=[^\W\d])\.(?!\d)", " ", bare(line, MOST_LINE))
        text = re.sub(r"[\u2013\u2014]", "-", text)
        pieces = [Piece(None, "")]
        at, depth, before, start = 0, 0, "", True
        unknown = False
        while at < len(text):
            here = pieces[-1]
            if text[at] == " ":
                at += 1
                continue
            end = worded(text, at, apart=at == 0 or depth > 0)
            if end > at:
                here.words.append("\x00" + re.sub(r"\bthe ", "", text[at:end]))
                here.text += text[at:end] + " "
                at, before, unknown, start = end, "", False, True
                continue
            club = self._club_at(text, at, start=start, first=at == 0)
            if club and depth == 0:
                id_, end = club
                pieces.append(Piece(id_, text[at:end].strip()))
                at, before, start, unknown = end, "", False, False
                continue
            match = _TOKEN.match(text, at)
            assert match is not None
            token, at = match[0], match.end()
            here.text += token + " "
            if match["date"]:
                here.words.append("\x00" + token)
            elif match["time"]:
                pass
            elif match["number"]:
                if (
                    match.start() > 1
                    and text[match.start() - 2].isdigit()
                    and text[match.start() - 1] not in " ,;/-|:()&+"
                ):
                    here.doubt = here.doubt or "not_understood"  # "1°28"
                for value in self._values(token, here):
                    glued = text[match.start() - 1] if match.start() else ""
                    led = unknown or (not here.numbers and any(w[0] != "\x00" for w in here.words))
                    here.numbers.append(
                        Number(value, None, glued if glued in "-+" and glued else before, led, depth > 0)
                    )
                    if here.mishit_next:
                        here.numbers[-1].role, here.mishit_next = "mishit", False
                    if glued in ("-", "+") and (match.start() < 2 or text[match.start() - 2] == " "):
                        here.numbers[-1].after = "sign"
                before, unknown, start = "number", False, False
            elif match["word"]:
                before, unknown = self._word(token, here, before, unknown, text, at, inside=depth > 0)
                start = False
            else:
                depth = max(0, depth + (token in "([") - (token in ")]"))
                if token == "?" or (token == "*" and re.match(r"\S\*(?!\d)", text[at - 2 : at + 1])):
                    self._mark(here, "marked")
                if token in "=±×x~%" or (token == "-" and before == "number"):
                    before = token if token != "=" or before != "n" else "n"
                    if token == "%" and here.numbers:
                        here.numbers[-1].role = "aside"
                elif token == "/" and before in ("number", "unit"):
                    before = "/"
                elif token in ";|,/-:)(":
                    before = before if before in MEAN | SPREAD | ASIDE | {"n"} else ""
                    unknown = unknown and token == ":"
                start = token in ";|,/-:+&)\u2022*"
        return pieces

    @staticmethod
    def _mark(here: Piece, why: str) -> None:
        """The number just before is no ball, for this reason; without one, nothing of the piece is."""
        if here.numbers and here.numbers[-1].role == "carry":
            here.numbers[-1].role = why
        else:
            here.doubt = here.doubt or why

    def _mishit(self, here: Piece, before: str, text: str, at: int) -> None:
        """A mishit's word belongs to the one number it stands beside; where that is not clear, to the whole piece."""
        led = text[:at].rstrip()
        behind = before in ("number", "unit") or bool(re.search(r"\d ?\( ?[^\W\d_]+$", led))
        if behind and re.match(r" ?(?:[;,)|&]|$)", text[at:]):
            self._mark(here, "mishit")
        elif not behind and here.numbers and _BALL_AFTER.match(text, at):
            here.mishit_next = True
        else:
            here.doubt = here.doubt or "mishit"

    def _club_at(self, text: str, at: int, *, start: bool, first: bool) -> tuple[str, int] | None:
        """A club that a text names at a place, and where its name ends."""
        if at and text[at - 1].isalnum() and (text[at - 1].isascii() or text[at].isascii()):
            return None
        own = self._own.match(text, at)
        if own and not re.match(r"\w", text[own.end() :][:1]) and (first or not own[0].isdigit()):
            return self._by_plain[own[0]], own.end()
        found = maybe_club(text, at)
        if not found or unsure_h(text[at : found[1]], self._text):
            return None
        name = text[at : found[1]].strip()
        if len(name) == 1 and not start:
            return None
        if re.fullmatch(r"\d+(?:\.\d)? [^\W\d]", name) and not first:
            return None
        if len(name) == 1 and not re.match(r"[ :=;,-]*\d|\s*$", text[found[1] :][:6]):
            return None
        return found

    def _word(
        self, token: str, here: Piece, before: str, unknown: bool, text: str, at: int, *, inside: bool
    ) -> tuple[str, bool]:
        """Take in a word: a unit or a count after a number, what the next number is, or a note."""
        unit = UNITS.get(token)
        if token == "in" and re.match(r" [^\W\d_]", text[at : at + 2]):
            unit = None
        if token == "y" and text[at - 2] == " " and re.match(r" ?\d", text[at : at + 2]):
            return "", unknown  # "131 y 129": and
        if unit and before == "number" and here.numbers:
            last = here.numbers[-1]
            if unit.name in ("m", "yd", "ft"):
                last.unit = unit
                return "unit", False
            last.role = "aside"
            here.words.append(token)
            return "", False
        if (
            token in ("of", "von", "de", "av")
            and before in ("number", "unit")
            and here.numbers[-1].after in MEAN
        ):
            return "n", False  # "avg 150 of 6"
        if token in MISHIT:
            self._mishit(here, before, text, at)
            return "", False
        if token in GRIPPED:
            here.doubt = "gripped_down"
            return "", False
        if token in COUNT and before == "number" and here.numbers:
            here.numbers[-1].role = "count"
            return "", False
        if token in ("x", "\u00d7") and (before == "number" or re.match(r" ?\d", text[at : at + 2])):
            here.doubt = "times"
            return "", False
        glued = text[at : at + 1].isdigit() or text[at - len(token) - 1 : at - len(token)].isdigit()
        letter = len(token) == 1 and re.match(
            r"[ :=]*\d", text[at : at + 4]
        )  # "a 98" may be a wedge, "l 3" a side
        if token.isascii() and (glued or letter) and token not in ("y", "n", "x"):
            here.doubt = here.doubt or "not_understood"
        if token in MEAN | SPREAD | ASIDE or token == "n":
            return token, False
        if token in PASSED or unit:
            if unit:
                here.words.append(token)
                if unit.kind in ("speed", "spin") and not inside:
                    here.doubt = here.doubt or "not_understood"
            return (before if before in MEAN | SPREAD | ASIDE else ""), unknown
        if _QUANTITY.search(token) and not inside:
            here.doubt = here.doubt or "not_understood"
        here.words.append(token)
        return "", True

    def _values(self, token: str, here: Piece) -> list[float]:
        """The numbers of a token such as "143.5", "143,5" or "128,131"."""
        if not token.isascii() or re.match(r"0\d", token):
            here.doubt = "not_understood"
            return []
        kind = _comma_kind(token)
        if kind == "open":
            kind = self._commas
        if kind == "open":
            here.doubt = "numbers_open"
            return []
        if kind == "bad":
            here.doubt = "not_understood"
            return []
        parts = token.split(",") if kind == "list" else [token.replace(",", ".")]
        return [min(float(part), 1e12) for part in parts]

    def _commas_are(self, lines: list[tuple[int, str]]) -> str:
        """What the commas are in tokens that could be either: decimal marks, list marks, or open."""
        if self.mark:
            return "decimal" if self.mark == "," else "list"
        kinds = {
            _comma_kind(t) for _, line in lines for t in re.findall(r"\d+(?:[.,]\d+)+", line[:MOST_LINE])
        }
        if "decimal" in kinds and "list" not in kinds:
            return "decimal"
        return "list" if "list" in kinds and "decimal" not in kinds else "open"

    # pieces to rows

    def _people(self, parsed: list[tuple[int, str, list[Piece]]]) -> None:
        """Find whether words before the clubs, or on lines of their own above them, may be names of several people."""
        self._names: dict[int, str] = {}
        for at, (number, line, pieces) in enumerate(parsed):
            words = [w for w in pieces[0].words if w[0] != "\x00" and w not in UNITS]
            told = not pieces[0].numbers and 0 < len(words) <= 3 and not set(words) & (LINE_SUMMARY | HEADING)
            later = parsed[at + 1][2] if at + 1 < len(parsed) else []
            above = len(pieces) == 1 and len(later) > 1 and bool(later[1].numbers) and not label_line(line)
            if told and (above or len(pieces) > 1):
                written = " ".join(line.split()[: len(words)]).rstrip(" :,;-")
                self._names[number] = written if bare(written) == " ".join(words) else " ".join(words)
        if len(set(self._names.values())) < 2:
            self._names = {}
        self.labels = bool(self._names)

    def _line(self, number: int, line: str, pieces: list[Piece], later: list[Piece]) -> None:
        lead, rest = pieces[0], pieces[1:]
        for word in [w[1:] for piece in pieces for w in piece.words if w[0] == "\x00"]:
            self.day = day_of(word)
        lead.words = [w for w in lead.words if w[0] != "\x00"]
        for piece in rest:
            piece.words = [w for w in piece.words if w[0] != "\x00"]
        if number in self._sizes and not (pieces[-1].numbers and not pieces[0].doubt):
            self.report.leave(number, line, "several_sizes")
            self.club, self.unknown = (
                None,
                " ".join(line.split())[:40],
            )  # the lines below are no full swings of it
            return
        if number in self._sizes:
            self._below_size = "several_sizes"
        elif rest:
            self._below_size = None
        elif (
            self._below_size
            and lead.numbers
            and (
                self._below_size == "several_sizes"
                or not (lead.words or set(bare(line, 400).split()) & LINE_SUMMARY)
            )
        ):  # of the part swing above, or full ones?
            self.report.leave(number, line, self._below_size, line)
            return
        if number in self._names:
            self.player = self._names[number]
        label = label_line(line)
        if label and label[0] == "player" and not any(piece.numbers for piece in pieces):
            self.player, self.club, self.unknown = label[1], "", ""
            self.report.leave(number, line, "label_alone", label[1])
        elif label and label[0] == "date" and not rest:
            self.day = day_of(label[1])
            self.report.leave(number, line, "day_alone", label[1])
        elif lead.doubt in ("mishit", "gripped_down", "marked") and not lead.numbers:
            self.report.leave(number, line, lead.doubt)  # type: ignore[arg-type]
            if not any(piece.numbers for piece in rest):
                self.club, self.unknown = None, " ".join(line.split())[:40].strip(" :")
            else:
                self.club, self.unknown = rest[-1].club, ""
        elif not any(piece.numbers or piece.doubt for piece in pieces):
            self._without_numbers(number, line, lead, rest, later)
        elif not rest:
            self._without_club(number, line, lead)
        elif lead.doubt or (lead.numbers and not self._numbering(lead, line)):
            self.club, self.unknown = None, rest[-1].name
            self.report.leave(number, line, "club_after_numbers")
        else:
            if lead.words and number not in self._names:
                self._ignored(number, lead.words)
            if any(not piece.numbers and not piece.doubt for piece in rest):
                self.club, self.unknown = None, rest[-1].name
                self.report.leave(number, line, "several_clubs")
                return
            for piece in rest:
                self.club, self.unknown = piece.club, ""
                self._piece(number, piece)

    @staticmethod
    def _numbering(lead: Piece, line: str) -> bool:
        """Whether the number before a club only numbers the line, as in "1) 7i 150"."""
        return len(lead.numbers) == 1 and bool(re.match(r"\s*\(?\d{1,3}[.):]", line)) and not lead.words

    def _without_numbers(
        self, number: int, line: str, lead: Piece, rest: list[Piece], later: list[Piece]
    ) -> None:
        """A line without numbers: a club above its carries, a heading, a name, a note."""
        words = set(lead.words)
        text = set(bare(line, 400).replace(":", " ").split())
        if len(rest) == 1 and not rest[0].words and not lead.words:
            self.club, self.unknown = rest[0].club, ""
            return
        if len(rest) == 1 and not lead.words:
            self.club, self.unknown = rest[0].club, ""
            self.report.leave(number, line, "no_carry")
            return
        if text & HEADING and len(text) <= 6 and not rest:
            units = [UNITS[w] for w in words if w in UNITS and UNITS[w].kind == "length"]
            self.unit = self.unit or (units[0] if units else None)
            return
        self.report.leave(number, line, "several_clubs" if len(rest) > 1 else "no_carry")
        if (words or rest) and not (len(later) > 1):
            self.club, self.unknown = None, " ".join(line.split())[:40].strip(" :")

    def _without_club(self, number: int, line: str, lead: Piece) -> None:
        """A line of numbers: carries of the club above, or of a club said by a bare number."""
        text = set(bare(line, 400).replace(":", " ").split())
        first = lead.numbers[0] if lead.numbers else None
        if first and self.club and re.match(r"\s*[,;|\t]", line):  # a cell for the club, left empty
            self.report.findings.append(Finding("club_above", number, count=1))
        if text & LINE_SUMMARY and not lead.words:
            self.report.leave(number, line, "summary_row")
        elif lead.doubt:
            self._piece(number, lead)
        elif first and lead.words and (first.unknown or bare(line).startswith(lead.words[0])):
            name = re.match(r"\D{0,40}", line)[0].strip(" \t:,;=-") or line.split()[0]  # type: ignore[index]
            self.club, self.unknown = None, name
            self.report.unknown_club(number, line, name)
        elif (
            first
            and not first.after
            and len(lead.numbers) > 1
            and first.value in range(1, 10)
            and lead.numbers[1].value >= 20
        ):
            if self._numbered:  # 1, 2, 3 down the lines are more likely balls than irons
                self.report.leave(number, line, "stray_number")
                return
            self.club, self.unknown = f"{first.value:.0f}i", ""
            self.report.findings.append(Finding("lone_number_iron", number, f"{first.value:.0f}"))
            lead.numbers.pop(0)
            self._piece(number, lead)
        elif first and len(lead.numbers) > 1 and self._may_be_loft(first, lead.numbers[1:]):
            name = f"{first.value:g}"
            if re.match(r"\s*\d\d\s*[:=]", line):
                self.club, self.unknown = f"w{name}", ""
                lead.numbers.pop(0)
                self._piece(number, lead)
            else:
                self.club, self.unknown = None, name
                self.report.unknown_club(number, line, name)
        else:
            self._piece(number, lead)

    def _may_be_loft(self, first: Number, rest: list[Number]) -> bool:
        """Whether a number may be a wedge's loft: it could be one, and the numbers after it are not near it."""
        if (
            first.value != int(first.value)
            or int(first.value) not in WEDGE_LOFTS
            or first.unit
            or first.bracket
        ):
            return False
        carries = sorted(n.value for n in rest if n.role == "carry" and not n.bracket)
        if not carries:
            return False
        near = first.value / carries[len(carries) // 2]
        return not (1 / 1.12 < near < 1.12) or not self.club

    def _ignored(self, number: int, words: list[str]) -> None:
        self.report.findings.append(Finding("words_ignored", number, " ".join(words)[:60]))

    def _piece(self, number: int, piece: Piece) -> None:
        """The carries of one piece, or the reason why there are none."""
        name, text = piece.name, f"{piece.name} {piece.text}".strip()
        if self.club is None:
            self.report.unknown_club(number, text, self.unknown, above=True)
            return
        doubt = piece.doubt or self._roles(piece)
        carries = [n for n in piece.numbers if n.role == "carry"]
        means = [n for n in piece.numbers if n.role == "mean"]
        counts = [n.value for n in piece.numbers if n.role == "count"]
        spreads = [n for n in piece.numbers if n.role == "spread"]
        lengths = [n for n in piece.numbers if n.role in ("carry", "mean", "spread")]
        if lengths and not any(n.unit for n in lengths[:-1]):
            for n in lengths:  # "140, 142, 144 m"
                n.unit = lengths[-1].unit
        whole = not carries and len(means) == 1
        if whole:
            carries = means
        elif means:
            self.report.findings.append(Finding("mean_ignored", number, f"{means[0].value:g}"))
        values = sorted(n.value for n in carries)
        wedge = (self.club or "")[:1] in "pgslw" and bool(name)
        if not doubt and wedge and len(carries) > 1 and self._may_be_loft(carries[0], carries[1:]):
            self.report.unknown_club(number, text, f"{name} {carries[0].value:g}")
            return
        if not doubt and len(piece.words) > MOST_WORDS:
            doubt = "not_understood"
        if not doubt and not carries:
            doubt = next((n.role for n in piece.numbers if n.role in ("mishit", "marked")), "no_carry")
        if not doubt and values[0] < (SHORTEST_PART if number in self._sizes else SHORTEST):
            self.report.leave(number, text, "carry_out_of_range", f"{values[0]:g}")
            return
        if not doubt and (values[-1] / values[0] > WIDEST):
            doubt = "differ_too_much"
        if not doubt and counts and not (len(carries) == 1 or counts == [len(carries)]):
            doubt = "stray_number"
        if not doubt and counts and not 1 <= counts[0] <= 500:
            doubt = "stray_number"
        if doubt:
            self.report.leave(number, text, doubt, name)  # type: ignore[arg-type]
            if doubt in ("mishit", "gripped_down", "marked") and not piece.numbers:
                self.club, self.unknown = None, text  # those below are not full ones of it
            return
        for why in ("mishit", "marked"):
            if spoilt := [f"{n.value:g}" for n in piece.numbers if n.role == why]:
                self.report.leave(number, f"{name} {' '.join(spoilt)}".strip(), why, name)
        if piece.words:
            self._ignored(number, piece.words)
        aside = [f"{n.value:g}" for n in piece.numbers if n.role in ("aside", "bracket")]
        if aside:
            self.report.findings.append(Finding("numbers_ignored", number, " ".join(aside)[:60]))
        single = len(carries) == 1 and bool(counts or whole)
        for carry in carries:
            row = Row(number, text, self.club, name, {"carry_m": Quantity((carry.value,), carry.unit)})
            row.player, row.day, row.swing_size = self.player, self.day, self._sizes.get(number, "")
            if single:
                row.balls, row.means = (counts[0] if counts else None), whole or counts[0] > 1
                if spreads:
                    row.values["carry_sd_m"] = Quantity((spreads[0].value,), spreads[0].unit or carry.unit)
            self.rows.append(row)

    @staticmethod
    def _roles(piece: Piece) -> str:
        """Say of each number what it is; the reason if that cannot be said."""
        numbers = piece.numbers
        for n in numbers:
            if n.role != "carry":
                continue
            if n.after in MEAN:
                n.role = "mean"
            elif n.after == "n":
                n.role = "count"
            elif n.after in SPREAD:
                n.role = "spread"
            elif n.after in ASIDE:
                n.role = "aside"
            elif n.after == "sign":
                return "stray_number"
        outside = [n for n in numbers if n.role == "carry" and not n.bracket]
        if outside:
            for n in numbers:
                if n.role == "carry" and n.bracket:
                    n.role = "bracket"
        if len(outside) > 1 and outside[-1].after == "=":
            outside[-1].role = "mean"
        dashes = sum(n.after == "-" for n in numbers)
        if dashes == 1 and sum(n.role == "carry" for n in numbers) == 2:
            return "range"
        strokes = sum(n.after == "/" for n in numbers)
        if strokes and (len(numbers) == 2 or strokes != len(numbers) - 1):
            return "two_distances"
        if numbers and numbers[0].unknown and numbers[0].role == "carry":
            return "stray_number"
        known = sorted(n.value for n in numbers if n.role == "carry" and not n.unknown)
        for n in numbers:
            if n.role == "carry" and n.unknown:
                middle = known[len(known) // 2] if known else 0.0
                if not middle or not 1 / NEAR < n.value / middle < NEAR:
                    return "stray_number"
        return ""

    def _drop_summaries(self) -> None:
        """A mean without a count beside balls of the same club sums those balls up: it is left out."""
        single = {(row.club, row.player, row.day) for row in self.rows if not row.means}
        for row in [r for r in self.rows if r.means and r.balls is None]:
            if (row.club, row.player, row.day) in single:
                self.rows.remove(row)
                self.report.leave(row.line, row.text, "summary_row")

    def question(self) -> Iterator[Question]:
        """Whether commas are decimal marks, where that is open."""
        if any(item.reason == "numbers_open" for item in self.report.left_out):
            yield Question("numbers", "", (".", ","))


def _comma_kind(token: str) -> str:
    """Whether a token of digits and commas or points is a decimal number, a list of carries, or may be both."""
    marks = re.findall(r"[.,]", token)
    if not marks:
        return "decimal"
    parts = re.split(r"[.,]", token)
    if len(marks) > 1:
        carries = set(marks) == {","} and all(1 < len(part) < 4 for part in parts)
        return "list" if carries else "bad"
    whole, rest = parts
    if marks[0] == ".":
        return "bad" if len(rest) == 3 and len(whole) > 1 and int(rest) else "decimal"
    if len(whole) == 1 or len(whole) > 3 or len(rest) > 3:
        return "decimal" if len(rest) != 3 else "bad"
    ratio = max(float(whole), float(rest)) / max(min(float(whole), float(rest)), 1e-9)
    if len(rest) == 1 or rest[0] == "0" or ratio > WIDEST:
        return "decimal" if len(rest) < 3 else "bad"
    return "list" if len(rest) == 3 else "open"
