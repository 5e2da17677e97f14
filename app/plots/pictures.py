"""Line drawings as SVG: they take their colours from the page's variables, so light and dark need no
redrawing."""

from __future__ import annotations

from app.html import Safe, esc


def svg(width: float, height: float, body: str, title: str, *, name: str = "", most: str = "") -> Safe:
    """A drawing with its title for those who do not see it."""
    style = f' style="max-width:{most}"' if most else ""
    return Safe(
        f'<svg viewBox="0 0 {width:g} {height:g}" role="img" aria-label="{esc(title)}" width="100%"{style} '
        f'class="{esc(name)}" font-family="system-ui,sans-serif">{body}</svg>'
    )


def text(
    x: float, y: float, words: str, *, size: float = 13, anchor: str = "start", colour: str = "var(--ink)"
) -> str:
    where = f'x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}" fill="{colour}"'
    return f"<text {where}>{esc(words)}</text>"


def line(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    *,
    colour: str = "var(--ink)",
    width: float = 2,
    dash: str = "",
) -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{colour}" '
        f'stroke-width="{width:g}" '
        f'stroke-linecap="round"{dashes}/>'
    )


def circle(
    x: float, y: float, r: float, *, colour: str = "var(--ink)", fill: str = "none", width: float = 2
) -> str:
    where = f'cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}"'
    return f'<circle {where} stroke="{colour}" fill="{fill}" stroke-width="{width:g}"/>'


def how_to_measure() -> Safe:
    """Height, wingspan and wrist to floor on two standing figures."""
    accent = "var(--accent)"
    b = [line(20, 210, 400, 210, colour="var(--edge)")]
    # standing figure, arms hanging
    b += [circle(90, 48, 14), line(90, 62, 90, 135), line(90, 135, 78, 208), line(90, 135, 102, 208)]
    b += [line(90, 74, 72, 102), line(72, 102, 70, 130), line(90, 74, 108, 102), line(108, 102, 110, 130)]
    b += [
        line(40, 34, 40, 208, colour=accent),
        line(33, 34, 60, 34, colour=accent),
        line(33, 208, 47, 208, colour=accent),
    ]
    b += [
        text(32, 125, "height", anchor="middle", colour=accent).replace(
            "<text", '<text transform="rotate(-90 32 125)"'
        )
    ]
    b += [line(140, 128, 140, 208, colour=accent), line(114, 128, 147, 128, colour=accent)]
    b += [text(150, 164, "wrist crease"), text(150, 180, "to floor")]
    # figure with arms out
    b += [circle(310, 48, 14), line(310, 62, 310, 135), line(310, 135, 298, 208), line(310, 135, 322, 208)]
    b += [
        line(228, 78, 392, 78),
        line(228, 100, 392, 100, colour=accent),
        line(228, 93, 228, 107, colour=accent),
    ]
    b += [line(392, 93, 392, 107, colour=accent), text(352, 120, "wingspan", anchor="middle", colour=accent)]
    words = (
        "Two standing figures. Height: from the floor to the top of the head, in the shoes you play in. "
        "Wingspan: arms straight out, "
        "fingertip to fingertip. Wrist to floor: arms hanging, from the crease of the wrist to the floor."
    )
    drawing = svg(420, 222, "".join(b), words, most="30rem")
    return Safe(
        f"{drawing}<ul><li><b>Height</b>: stand against a wall in the shoes you play in; measure from the floor to "
        f"the top of the head.</li>"
        "<li><b>Wingspan</b>: chest to the wall, arms straight out, fingertip to fingertip.</li>"
        "<li><b>Wrist to floor</b>: arms hanging loose, crease of the wrist straight down to the "
        "floor.</li></ul>"
    )


def wind_arrow(from_deg: float, words: str, *, blows: bool) -> Safe:
    """An arrow that blows as the wind does, the flag at the top: down for a headwind, faint where there is no wind.

    The page turns it under a thumb by the ``rotate`` of its group (`site/shell/shot.js`).
    """
    colour = "var(--accent)" if blows else "var(--faint)"
    arrow = circle(24, 24, 20, colour="none", fill="var(--wash)")
    arrow += line(24, 8, 24, 38, colour=colour, width=4)
    arrow += line(24, 39, 15, 28, colour=colour, width=4) + line(24, 39, 33, 28, colour=colour, width=4)
    flag = line(24, 0, 24, 4, colour="var(--ink)")
    return svg(48, 48, f'<g transform="rotate({from_deg:g} 24 24)">{arrow}</g>{flag}', words, most="4.8rem")
