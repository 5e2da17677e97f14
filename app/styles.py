"""How it looks: colours and sizes as variables on the document root, one small sheet for each kind of widget.

Custom properties inherit into shadow roots, so light, dark and high contrast are only other values at
the root;
Where columns stand side by side only with room for them, the room of the page's content is asked for (`@container`), whose
rem is that of the text as it is set; a media query's is not.
``ROOT_CSS`` is for the page to inline. Series colours are from the general palette of Okabe and Ito (2008),
chosen to stay apart under colour-vision deficiency; every series also has its own marker or dash.
"""

SERIES = ("#0072B2", "#D55E00", "#009E73", "#CC79A7")
MARKERS = ("circle", "square", "triangle", "diamond")
DASHES = ("solid", "dashed", "dotted", "dotdash")

_LIGHT = """
--paper:#f6f1e7; --sheet:#fffdf8; --ink:#25211b; --faint:#5f574b; --line:#cfc5b3; --edge:#8b8171;
--rule:#efe8da;
--accent:#9c3d0c; --on-accent:#fffdf8; --wash:#f3e2d3; --good:#00634a; --warn:#8a4b00; --bad:#a3170f;
--grid:#e4dccb; color-scheme:light;
"""
_DARK = """
--paper:#191714; --sheet:#22201c; --ink:#f1ebdf; --faint:#b9b0a1; --line:#48423a; --edge:#8d8476;
--rule:#1f1c18;
--accent:#f2a771; --on-accent:#23160c; --wash:#3b2a1d; --good:#6fd3b0; --warn:#f0bd6a; --bad:#ff9d91;
--grid:#38332c; color-scheme:dark;
"""
_LIGHT_HIGH = """
--paper:#ffffff; --sheet:#ffffff; --ink:#000000; --faint:#1c1c1c; --line:#000000; --edge:#000000;
--rule:#ffffff;
--accent:#6b2400; --on-accent:#ffffff; --wash:#ffe9d8; --good:#003d2c; --warn:#5a3000; --bad:#7a0000;
--grid:#9a9a9a;
"""
_DARK_HIGH = """
--paper:#000000; --sheet:#000000; --ink:#ffffff; --faint:#f0f0f0; --line:#ffffff; --edge:#ffffff;
--rule:#000000;
--accent:#ffc48f; --on-accent:#000000; --wash:#40230a; --good:#9bf5d4; --warn:#ffd58a; --bad:#ffb9b0;
--grid:#7a7a7a;
"""

ROOT_CSS = f"""
:root{{{_LIGHT}
--serif:"Iowan Old Style","Palatino Linotype",Palatino,"Book Antiqua",Georgia,serif;
--sans:system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans",sans-serif;
--bokeh-base-font:var(--sans);
--touch:clamp(44px,2.75rem,48px); --key:3.5rem; --round:.5rem;
--head:clamp(1.8rem,1.3rem + 2vw,2.5rem); --lead:block; --tally:1rem; --tally-lines:4; --gap:.9rem;
--bk-axis-label-text-color:var(--ink); --bk-major-label-text-color:var(--ink);
--bk-axis-line-color:var(--edge);
--bk-major-tick-line-color:var(--edge); --bk-grid-line-color:var(--grid); --bk-label-text-color:var(--ink);
--bk-background-fill-color:transparent; --bk-border-fill-color:transparent;
--bk-outline-line-color:transparent;
--print-sheet:none; --print-card:none; --print-screen:block}}
@media (prefers-color-scheme:dark){{:root:not([data-theme=light]){{{_DARK}}}}}
:root[data-theme=dark]{{{_DARK}}}
@media (prefers-contrast:more){{:root:not([data-contrast=normal]){{{_LIGHT_HIGH}}}}}
:root[data-contrast=high]{{{_LIGHT_HIGH}}}
@media (prefers-color-scheme:dark){{:root[data-contrast=high]:not([data-theme=light]){{{_DARK_HIGH}}}}}
:root[data-contrast=high][data-theme=dark]{{{_DARK_HIGH}}}
:root{{font-size:106.25%}} :root[data-size=large]{{font-size:131.25%}}
@media (max-width:39.99rem){{:root[data-size=large]{{--key:46px;--head:min(1.15rem,6.2vw);--lead:none;
--tally:.9rem; --tally-lines:5}}}}
@media (max-height:43rem){{:root,:root[data-size=large]{{--touch:44px;--key:44px;--head:min(1.25rem,5.6vw);--lead:none;
--tally-lines:3}}:root[data-size=large]{{--tally-lines:4}}}}
@media (max-height:29.99rem){{:root,:root[data-size=large]{{--head:min(1.05rem,18px)}}}}
:root[data-print=sheet]{{--print-sheet:block; --print-screen:none; --foot:var(--running);
--pages:"page " counter(page) " of " counter(pages)}}
:root[data-print=card],:root[data-print=pocket]{{--print-card:block; --print-screen:none}}
:root[data-print=card]{{--card-width:85.6mm; --card-type:8pt; --card-row:.5mm; --card-line:.5px; --card-more:none;
--card-table:block; --card-head:none; --card-list:grid; --card-one:grid; --card-brief:inline; --card-name:0}}
:root[data-print=pocket]{{--card-width:105mm; --card-type:10pt; --card-row:.7mm; --card-line:.5px; --card-more:table-cell;
--card-table:table; --card-head:table-header-group; --card-list:table-row-group; --card-one:table-row;
--card-brief:none; --card-name:10pt}}
@media print{{:root:root:root{{{_LIGHT_HIGH}color-scheme:light;
--sans:Helvetica,Arial,"Liberation Sans",sans-serif}} @page{{
margin:7mm;@bottom-left{{content:var(--foot,none);font:9pt var(--sans)}}
@bottom-right{{content:var(--pages,none);font:9pt var(--sans)}}}}}}
body{{margin:0;background:var(--paper);color:var(--ink);font-family:var(--sans);
background-image:linear-gradient(var(--rule) 1px,transparent 1px),
linear-gradient(90deg,var(--rule) 1px,transparent 1px);
background-size:1.5rem 1.5rem}}
@media print{{body{{background:none}}}}
"""

_BASE = """
:host{font-family:var(--sans);color:var(--ink);font-size:1rem;line-height:1.45;margin:0;min-width:0;
max-width:100%}
:host(.plain){width:100%}
*{box-sizing:border-box}
:host(.off){display:none!important}
@media print{:host{display:var(--print-screen)!important}}
"""

STACK = """
:host{display:flex!important;flex-direction:column;gap:var(--gap);width:100%;min-width:0;margin:0;
box-sizing:border-box}
.scroll-button{display:none!important}
:host(.tight){gap:.35rem}
:host(.folds){gap:0}
:host(.foot){padding:.1rem 0 1rem}
:host(.sheet){background:var(--sheet);border:1px solid var(--line);border-radius:var(--round);
padding:1.1rem 1.1rem 1.2rem}
:host(.folds.sheet){padding:.2rem 1.1rem}
:host(.off){display:none!important}
:host(.comes){scroll-margin:4.5rem 0 6rem}
:host(.content),:host(.taps){container-type:inline-size}
:host(.pad){gap:.6rem}
@media (max-width:59.99rem){:host(.pad){display:grid!important;grid-template-columns:repeat(4,minmax(0,1fr));gap:.6rem .5rem}
:host(.pad)>*{grid-column:1/-1}:host(.pad)>.keys{grid-column:1/4}:host(.pad)>.add{grid-column:4}}
@container (max-width:12rem){:host(.pad)>.keys.keys,:host(.pad)>.add.add{grid-column:1/-1}:host(.pad)>.asked{order:1}}
@media (max-height:43rem){:host(.pad){gap:5px .5rem}:host(.content){gap:.5rem}
:host(.sheet){padding:.5rem .8rem .8rem}}
@media (max-height:29.99rem) and (max-width:59.99rem){:host(.content){gap:.2rem}:host(.sheet){padding:.3rem .6rem .6rem}
:host(.pad){grid-template:repeat(5,auto) 1fr/minmax(0,12fr) minmax(0,7fr) minmax(0,2.4fr);gap:.25rem .4rem}
:host(.pad)>*{grid-column:1}:host(.pad)>.keys{grid-column:2;grid-row:1/7;align-self:start!important}
:host(.pad)>.add{grid-column:3;grid-row:1/7;align-self:start!important;height:calc(4*var(--key) + 18px)!important}}
@container (max-width:25rem){@media (max-height:29.99rem) and (max-width:59.99rem){
:host(.pad){grid-template-columns:minmax(0,8fr) minmax(0,7fr) minmax(0,5fr)}}}
:host(.asked){flex-wrap:nowrap!important;justify-content:center;gap:.1rem;font-size:var(--tally);line-height:1.3;
height:auto!important;min-height:calc(1lh*var(--tally-lines) + 1rem)!important;margin:-.5rem 0!important}
:host(.asked)>*{flex:0 0 auto!important}
@media (max-height:43rem){:host(.asked){font-size:min(.9rem,16px);line-height:1.2;margin:-5px 0!important;
min-height:calc(1lh*var(--tally-lines) + 10px)!important}}
@media (max-height:29.99rem) and (max-width:59.99rem){:host(.asked){height:auto!important;margin:0!important}}
@media (min-width:60rem){:host(.sheet){padding:1.4rem 1.6rem}:host(.folds.sheet){padding:.3rem 1.6rem}}
@container (max-width:51.99rem){:host(.melt){display:contents!important}:host(.first){order:-1}}
@container (min-width:52rem){:host(.two){display:grid!important;grid-template-columns:minmax(0,1.5fr) minmax(0,1fr);
align-items:start}}
@media print{:host{gap:0!important;padding:0!important;border:0!important;background:none!important}
:host(.picture){display:var(--print-screen)!important}}
"""

LINE = """
:host{display:flex!important;flex-direction:row;flex-wrap:wrap;gap:.5rem .75rem;align-items:flex-end;
width:100%;min-width:0;margin:0}
:host(.nowrap){align-items:center}:host(.nowrap)>.plain{flex:1 1 7rem!important;min-width:0}
:host(.nowrap)>:not(.plain){flex:0 0 auto!important}
:host(.keys){display:grid!important;grid-template-columns:repeat(3,minmax(0,1fr));gap:.5rem;max-width:28rem}
@media (max-height:29.99rem) and (max-width:59.99rem){:host(.wide-fields.whole){grid-template-columns:minmax(0,1fr)}}
@media (max-height:43rem){:host(.keys){gap:6px}:host(.head){min-height:0}}
@media (max-width:39.99rem){:host(.head){flex-wrap:nowrap;gap:.5rem}:host(.head)>.plain{flex-basis:0!important}}
:host(.fields){display:grid!important;
grid-template-columns:repeat(auto-fill,minmax(min(11rem,100%),1fr));align-items:start}
:host(.wide-fields){display:grid!important;
grid-template-columns:repeat(auto-fit,minmax(min(17rem,100%),1fr));align-items:start}
:host(.blank){visibility:hidden}
:host(.low){align-items:end!important}:host(.low)>*{align-self:end!important}:host(.ends)>*{flex:1 1 auto!important}
:host(.add)>.enter{flex:2 0 auto!important}
@media (max-width:59.99rem){:host(.add){flex-direction:column;flex-wrap:nowrap;gap:.5rem;
align-items:stretch!important;height:100%}
:host(.add)>*{flex:0 0 auto!important}:host(.add)>.enter{flex:1 1 auto!important}}
@media (min-width:40rem){:host(.ends)>*{flex:0 0 auto!important}}
:host(.pair){display:grid!important;grid-template-columns:minmax(0,1fr) auto auto;align-items:end}
@container (max-width:14rem){:host(.pair){grid-template-columns:minmax(0,1fr)}}
@container (max-width:12rem){:host(.add)>*{align-self:stretch!important}}
@container (max-width:25rem){@media (max-height:29.99rem) and (max-width:59.99rem){
:host(.pair){grid-template-columns:minmax(0,1fr)}}}
:host(.replies){gap:.3rem;align-items:stretch}:host(.replies)>*{flex:0 0 auto!important;width:auto!important}
@media (max-width:59.99rem){:host(.replies)>*{flex:1 1 min(4rem,22%)!important;min-width:44px!important}}
@container (max-width:12rem){:host(.replies)>*{flex-basis:40%!important}}
:host(.steps){display:grid!important;grid-template-columns:auto auto minmax(4rem,1fr) auto auto;gap:.35rem;max-width:28rem}
:host(.wind){display:grid!important;grid-template-columns:4.8rem minmax(0,1fr) auto;max-width:28rem}
:host(.shot){display:grid!important;grid-template-columns:minmax(0,1fr);gap:var(--gap)}
@container (min-width:50rem){:host(.shot){grid-template-columns:minmax(0,1fr) minmax(0,1.2fr);align-items:start!important}}
@media (max-height:29.99rem) and (min-width:37.5rem) and (max-width:59.99rem){
:host(.shot){grid-template-columns:minmax(0,1fr) minmax(0,1.2fr);align-items:start!important}
:host(.shot)>.answer{position:sticky;top:.3rem;align-self:start!important}}
:host(.steps)>*,:host(.wind)>*{align-self:end!important}
@container (max-width:30rem){:host(.wind){grid-template-columns:4.8rem minmax(0,1fr)}
:host(.wind)>.origin{grid-column:1/-1;order:-1}}
@container (max-width:18rem){:host(.steps){grid-template-columns:repeat(4,minmax(0,1fr));gap:.3rem}
:host(.steps)>.num{grid-column:1/-1;order:-1}}
@container (max-width:11rem){:host(.steps){grid-template-columns:repeat(2,minmax(0,1fr))}
:host(.wind){grid-template-columns:minmax(0,1fr)}}
:host(.trying){position:sticky;top:.4rem;z-index:15;background:var(--wash);border:1px solid var(--accent);
border-radius:var(--round);padding:.2rem .6rem;box-sizing:border-box;align-items:center;box-shadow:0 2px 8px #0002}
:host(.trying)>.plain{flex:1 1 7rem!important}
:host(.off){display:none!important}
@media print{:host{display:var(--print-screen)!important}}
"""

PAGE = """
:host{display:block!important;width:100%;max-width:74rem;margin:0 auto;
padding:.6rem .8rem calc(6rem + env(safe-area-inset-bottom));
box-sizing:border-box;min-width:0}
@media (max-height:43rem){:host{padding-top:.35rem}}
@media (max-height:29.99rem) and (max-width:59.99rem){:host{padding-top:.2rem}}
.steps{position:fixed!important;left:0;right:0;bottom:0;z-index:20}
@media (min-width:60rem){
:host{padding:1.25rem 1.5rem 3rem 13.5rem}
.steps{left:max(1rem,calc(50vw - 36.5rem));right:auto;top:1.25rem;bottom:auto;width:11.5rem}}
@media print{:host{padding:0;max-width:none}}
"""

STEP_BAR = """
:host{display:flex!important;flex-direction:row;gap:0;width:100%;margin:0;background:var(--sheet);
border-top:1px solid var(--edge);
padding:.25rem .25rem calc(.25rem + env(safe-area-inset-bottom));box-sizing:border-box}
:host>*{flex:1 1 0;min-width:0}
@media (min-width:60rem){:host{flex-direction:column;gap:.25rem;background:none;border:0;padding:0}
:host>*{flex:0 0 auto}}
@media print{:host{display:none!important}}
"""

BUTTON = (
    _BASE
    + """
:host{display:inline-block;width:auto;height:auto}
.bk-btn-group{height:auto;width:100%}
.bk-btn{font:inherit;font-weight:600;min-height:var(--touch);width:100%;height:auto;padding:.5rem 1rem;
border-radius:var(--round);
border:1px solid var(--edge)!important;background:var(--sheet)!important;color:var(--ink)!important;
box-shadow:none;white-space:normal;
line-height:1.2;cursor:pointer;touch-action:manipulation;text-shadow:none}
.bk-btn:hover{background:var(--wash)!important}
.bk-btn:active{transform:translateY(1px)}
.bk-btn:focus{outline:none}
.bk-btn:focus-visible{outline:3px solid var(--accent);outline-offset:2px}
.bk-btn[disabled]{color:var(--faint)!important;border-style:dashed;opacity:1;cursor:not-allowed}
:host(.main) .bk-btn{background:var(--accent)!important;color:var(--on-accent)!important;
border-color:var(--accent)!important}
:host(.tap) .bk-btn{padding:.5rem 0;min-width:min(3.1rem,20vw);font-variant-numeric:tabular-nums}
@container (max-width:18rem){:host(.tap) .bk-btn{min-width:0}}
:host(.quiet) .bk-btn{border-color:transparent!important;background:none!important;
color:var(--accent)!important;text-decoration:underline;
text-underline-offset:.2em;padding:.5rem .25rem;text-align:left}
:host(.quiet) .bk-btn:hover{text-decoration-thickness:2px}
:host(.fold){width:100%}
:host(.fold) .bk-btn{border:0!important;border-radius:.25rem;background:none!important;text-align:left;
padding:.6rem .1rem;min-height:3.2rem;display:flex!important;justify-content:space-between;align-items:center;gap:.5rem;
overflow-wrap:anywhere}
:host(.fold) .bk-btn::after{content:"";flex:0 0 auto;width:.5rem;height:.5rem;margin:0 .3rem .2rem 0;
border-right:2px solid var(--accent);border-bottom:2px solid var(--accent);transform:rotate(45deg)}
:host(.fold.open) .bk-btn::after{transform:rotate(225deg);margin-bottom:-.2rem}
:host(.fold) .bk-btn:hover{background:none!important;color:var(--accent)!important}
:host(.key) .bk-btn{font-size:min(1.5rem,8vw);min-height:var(--key);font-variant-numeric:tabular-nums;padding:0}
:host(.undo) .bk-btn{white-space:pre-line;font-size:.78rem;font-weight:400;max-width:9.5rem;padding:.2rem .6rem;
overflow-wrap:anywhere}
:host(.undo) .bk-btn::first-line{font-size:1rem;font-weight:600}
@media (max-height:43rem){:host(.key) .bk-btn{font-size:min(1.25rem,22px)}}
@media (max-width:59.99rem){:host(.enter) .bk-btn-group,:host(.enter) .bk-btn{height:100%}
:host(.enter) .bk-btn{padding:.2rem;font-size:min(1rem,4.6vw)}
:host(.reply) .bk-btn-group,:host(.reply) .bk-btn{height:100%}
:host(.reply) .bk-btn{padding:.1rem .2rem;font-size:min(.88rem,16px);line-height:1.1}
:host(.again) .bk-btn{padding:0;font-size:min(.78rem,3.6vw);line-height:1.1;overflow-wrap:anywhere}}
@container (max-width:12rem){:host(.reply) .bk-btn{font-size:min(1rem,20px)}
:host(.enter) .bk-btn{font-size:1rem}:host(.again) .bk-btn{font-size:.78rem}}
@media (max-width:39.99rem){:host(.menu) .bk-btn{padding:.5rem .6rem}
:host(.undo) .bk-btn{max-width:33vw;padding:.1rem .4rem}}
@media (max-height:43rem){:host(.menu) .bk-btn,:host(.undo) .bk-btn{padding:0 .5rem;line-height:1.1}}
@media (max-height:43rem),(max-width:59.99rem){:host(.undo) .bk-btn{display:-webkit-box!important;
-webkit-box-orient:vertical;-webkit-line-clamp:2;overflow:hidden;overflow-wrap:normal;word-break:break-all}}
:host(.square) .bk-btn{min-width:var(--touch);padding:.5rem .25rem;font-size:1.25rem}
:host(.step) .bk-btn{border:0!important;border-radius:var(--round);background:none!important;
font-size:min(.875rem,3.9vw);padding:.3rem 0;white-space:pre-line;line-height:1.25;
min-height:min(3.4rem,62px);color:var(--faint)!important;border-top:3px solid transparent!important}
:host(.step.here) .bk-btn{color:var(--accent)!important;background:var(--wash)!important;
border-top-color:var(--accent)!important;font-weight:700}
@media (max-height:29.99rem) and (max-width:59.99rem){:host(.step) .bk-btn{white-space:normal;min-height:var(--touch);
padding:0}}
@media (min-width:60rem){:host(.step){width:100%}
:host(.step) .bk-btn{text-align:left;padding:.5rem .9rem;font-size:1.1rem;white-space:normal;border-top:0!important;
border-left:4px solid transparent!important}
:host(.step.here) .bk-btn{border-left-color:var(--accent)!important}}
"""
)

CHIPS = (
    _BASE
    + """
:host{display:block;width:auto;height:auto}
.bk-btn-group{display:flex!important;flex-wrap:wrap;gap:.4rem;width:auto;height:auto}
.bk-btn{font:inherit;font-weight:600;min-height:var(--touch);min-width:var(--touch);height:auto;padding:.4rem .8rem;
border-radius:1.4rem!important;
border:1px solid var(--edge)!important;background:var(--sheet)!important;color:var(--ink)!important;
margin:0!important;flex:0 0 auto!important;width:auto;max-width:100%;white-space:normal;line-height:1.2;
cursor:pointer;touch-action:manipulation;box-shadow:none;text-shadow:none}
@media (max-height:43rem){.bk-btn{padding:.1rem .7rem}}
.bk-btn:hover{background:var(--wash)!important}
:host(.strip){width:100%;overflow:hidden}
:host(.strip) .bk-btn-group{flex-wrap:nowrap;overflow-x:auto;scroll-snap-type:none;scrollbar-width:thin;
padding:2px;-webkit-overflow-scrolling:touch}
:host(.strip) .bk-btn{white-space:nowrap}
@media (min-width:60rem) and (min-height:43rem){:host(.strip) .bk-btn-group{flex-wrap:wrap;overflow:visible}}
.bk-btn.bk-active{background:var(--ink)!important;color:var(--sheet)!important;
border-color:var(--ink)!important;box-shadow:none!important}
.bk-btn:focus{outline:none}
.bk-btn:focus-visible{outline:3px solid var(--accent);outline-offset:2px}
"""
)

FIELD = (
    _BASE
    + """
:host{display:block;width:100%;height:auto}
.bk-input-group{width:100%;height:auto}
label{font-size:.95rem;color:var(--ink);font-weight:600;padding:0 0 .2rem;display:block;white-space:normal}
:host(.entry) label{display:grid;align-content:safe end;line-height:1.2;height:2.4em;padding-bottom:.2rem;
box-sizing:content-box;overflow-y:auto}
:host(.entry) .bk-input-group{vertical-align:top}
@media (max-height:29.99rem) and (max-width:59.99rem){:host(.entry) label{height:auto}}
:host(.brief) label,:host(.stepped:not(.bad)) label{white-space:nowrap;width:max-content}
:host(.stepped) label{margin-left:-6.9rem}:host(.stepped.bad) label{width:calc(100% + 13.8rem)}
@container (max-width:14rem){:host(.brief) label,:host(.entry) label{white-space:normal;width:auto}}
@container (max-width:12rem){:host(.entry) label{height:auto;min-height:2.4em}}
@container (max-width:18rem){:host(.stepped) label,:host(.stepped.bad) label{margin-left:0;white-space:normal;width:auto}}
@media (max-width:59.99rem){:host(.entry:not(.brief)) label{width:calc(100cqi - 2.3rem);line-height:1.2}}
@media (max-height:43rem){:host(.entry) label{font-size:min(.9rem,16px);line-height:1.2}
:host(.entry) .bk-input{padding:.1rem .6rem;line-height:1.2}}
@media (max-height:29.99rem) and (max-width:59.99rem){:host(.entry:not(.brief)) label{width:calc(50cqi - .9rem)}}
@container (max-width:18rem){select.bk-input{font-size:1rem!important}}
.bk-input{font:inherit;font-size:1.1rem;min-height:var(--touch);height:auto;width:100%;
padding:.4rem .6rem;border-radius:8px;
border:1px solid var(--edge);background:var(--sheet)!important;color:var(--ink)!important;box-shadow:none;
font-variant-numeric:tabular-nums}
.bk-input:focus{border-color:var(--accent);outline:3px solid var(--accent);outline-offset:1px}
.bk-input::placeholder{color:var(--faint);opacity:1}
.bk-input.other{color:var(--faint)!important}
select.bk-input{appearance:none;padding-right:1.8rem!important;text-overflow:ellipsis;
background-image:linear-gradient(45deg,transparent 50%,var(--ink) 50%),
linear-gradient(-45deg,transparent 50%,var(--ink) 50%)!important;background-size:.4rem .4rem!important;
background-position:right 1.05rem center,right .65rem center!important;background-repeat:no-repeat!important}
:host(.bad) label{color:var(--bad)}
:host(.bad) .bk-input{border-color:var(--bad);box-shadow:inset 0 0 0 1px var(--bad)}
textarea.bk-input{min-height:8rem;font-size:1rem;resize:vertical}
input[type=file].bk-input{font-size:1rem;padding:.5rem}
input[type=file]::file-selector-button{font:inherit;border:1px solid var(--edge);border-radius:.35rem;
background:var(--paper);color:var(--ink);padding:.3rem .7rem;margin:0 .6rem 0 0}
"""
)

SLIDER = (
    _BASE
    + """
:host{display:block;width:100%;height:auto}
.bk-input-group{padding:0;width:100%;height:auto}
.bk-slider-title{font-size:1rem;font-weight:600;color:var(--ink);white-space:normal}
.bk-slider-value{font-weight:700;font-variant-numeric:tabular-nums}
.bk-slider-parent{padding:0 1.4rem}
.noUi-target{height:.5rem!important;margin:1.15rem 0 1.25rem!important;background:var(--line)!important;
border:0!important;border-radius:.25rem;box-shadow:none!important}
.noUi-connect{background:var(--accent)!important}
.noUi-handle{width:2.75rem!important;height:2.75rem!important;right:-1.375rem!important;
top:-1.125rem!important;border-radius:50%!important;
background:var(--sheet)!important;border:3px solid var(--accent)!important;
box-shadow:0 1px 3px #0004!important;cursor:grab;touch-action:none}
.noUi-handle::before,.noUi-handle::after{display:none!important}
.noUi-handle:focus-visible{outline:3px solid var(--ink);outline-offset:2px}
"""
)

CARDS = """
@media screen{@container (max-width:44.99rem){
table.cards,table.cards>tbody{display:block;width:100%} table.cards>caption{display:block}
table.cards>thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
table.cards>tbody>tr{display:grid;grid-template-columns:repeat(auto-fill,minmax(5.4rem,1fr));gap:.5rem .7rem;
padding:.8rem 0;border-bottom:1px solid var(--line)}
table.cards>tbody>tr:last-child{border:0}
table.cards>tbody>tr>*{display:block;border:0;padding:0;text-align:left;white-space:normal}
table.cards>tbody>tr>th{grid-column:1/-1;font-family:var(--serif);font-size:1.2rem}
table.cards>tbody>tr>td.words{grid-column:1/-1}
table.cards>tbody>tr>td::before{content:attr(data-label);display:block;font-size:.82rem;color:var(--faint);font-weight:400}
table.cards .under{white-space:normal} table.cards:not(.bench *) td:empty{display:none}}}
"""

TEXT = (
    _BASE
    + """
:host{display:block;width:100%;height:auto;overflow-wrap:break-word}
:host(.answer){min-height:13.5rem;container-type:inline-size}
@container (min-width:50rem){:host(.answer){min-height:0}}
@media (max-height:29.99rem) and (min-width:37.5rem) and (max-width:59.99rem){:host(.answer){min-height:0}}
:host(.blow){min-height:3.2rem}:host(.arrow){touch-action:none;cursor:grab}
:host(.landing){cursor:crosshair;touch-action:manipulation}
h1,h2,h3{font-family:var(--serif);font-weight:600;line-height:1.2;margin:0}
h1{font-size:1.35rem;letter-spacing:.01em} h2{font-size:1.45rem} h3{font-size:1.18rem;margin:.9rem 0 .2rem}
h3:first-child{margin-top:0}
:host(.heading){padding:.3rem .1rem .1rem}:host(.heading) h2{font-size:var(--head);
letter-spacing:-.01em;line-height:1.1}
:host(.heading) p{display:var(--lead);color:var(--faint);margin:.35rem 0 0;font-size:1.05rem}
@media (max-height:29.99rem){:host(.heading){padding:0}}
@media (max-width:59.99rem){:host(.short) h2{font-size:min(1.35rem,6vw)}:host(.short) p{display:none}}
:host(.tally){font-size:var(--tally);line-height:1.3;height:calc(1lh*var(--tally-lines));overflow-y:auto}
:host(.tally) p{font-variant-numeric:tabular-nums;font-weight:600;max-width:none;margin:0!important}
@media (max-height:43rem){:host(.tally){font-size:min(.9rem,16px);line-height:1.2}}
@media (max-height:29.99rem){:host(.tally){font-size:min(.9rem,14px)}}
@media (max-height:29.99rem) and (max-width:59.99rem){:host(.tally){height:auto}}
:host(.question) p{font-size:.9rem;font-weight:600;line-height:1.2;max-width:none;margin:0!important}
@media (max-height:43rem){:host(.question) p{font-size:min(.8rem,13px);line-height:1.05}}
:host(.hushed){display:none!important}
@container (max-width:12rem){:host(.question) p{font-size:min(1rem,20px)}:host(.hushed){display:block!important}}
p{margin:.2rem 0 .45rem;max-width:42rem} p:last-child{margin-bottom:0} p.lead{font-family:var(--serif);
font-size:1.45rem;line-height:1.3;margin-bottom:.6rem} small,.small{font-size:.9rem;color:var(--faint)}
.who{color:var(--faint);overflow-wrap:anywhere;margin:0;font-size:.95rem;line-height:1.25}
@media (min-width:40rem){.who{display:inline-block;margin-right:1rem}}
@media (max-width:39.99rem){h1{font-size:min(1.35rem,6.4vw)}.who{font-size:min(.95rem,4.4vw);display:-webkit-box;
-webkit-box-orient:vertical;-webkit-line-clamp:2;min-height:2lh;overflow:hidden;overflow-wrap:break-word}
.who:has(+.who),.who+.who{-webkit-line-clamp:1;min-height:1lh;word-break:break-all}}
@media (max-height:43rem){.who{display:block;min-height:0;white-space:nowrap;overflow:hidden;text-overflow:ellipsis}
.who:has(+.who){display:none}}
.chance{display:grid;grid-template-columns:minmax(0,1fr) auto;gap:.2rem .8rem;align-items:center;max-width:34rem;
margin:.2rem 0 .8rem}
.chance span{grid-column:1/-1} .chance b{font-family:var(--serif);font-size:1.5rem;font-variant-numeric:tabular-nums}
.chance i{display:block;height:.7rem;border:1px solid var(--edge);border-radius:.35rem;
background:linear-gradient(var(--accent),var(--accent)) 0/var(--part) 100% no-repeat;print-color-adjust:exact}
.mark{display:inline-block;margin-left:.4rem;padding:0 .4rem;border:1px solid var(--accent);border-radius:.3rem;
color:var(--accent);font-size:.8rem;font-weight:600}
.todo,.idle,.cannot{display:block;text-align:left} .todo::before{content:"□ "} .idle{color:var(--faint)}
.cannot{color:var(--bad);margin-top:.2rem} .cannot::before{content:"⚠ "}
ul,ol{margin:.3rem 0 .5rem;padding-left:1.3rem;max-width:42rem} li{margin:.2rem 0}
a{color:var(--accent)}
.faint{color:var(--faint)} .good{color:var(--good)} .bad{color:var(--bad)} .warn{color:var(--warn)} .left{
opacity:1;color:var(--faint);text-decoration:line-through}
.big{font-family:var(--serif);font-size:min(2.4rem,14cqi);line-height:1.1;font-variant-numeric:tabular-nums}
.note{border-left:4px solid var(--accent);background:var(--wash);padding:.7rem .95rem;
border-radius:0 var(--round) var(--round) 0;max-width:44rem}
.note.warn{border-color:var(--warn);color:var(--ink)}
.key{display:flex;flex-wrap:wrap;gap:.2rem 1.1rem;margin:.1rem 0 .3rem} .key b{font-size:1.15em}
.tags span{display:inline-block;border:1px solid var(--edge);border-radius:1rem;padding:.1rem .6rem;
margin:.1rem .25rem .1rem 0;font-variant-numeric:tabular-nums}
.scroll{overflow-x:auto;max-width:100%;background:
linear-gradient(90deg,var(--sheet) 40%,transparent) 0 0/2rem 100% local,
linear-gradient(-90deg,var(--sheet) 40%,transparent) 100% 0/2rem 100% local,
linear-gradient(90deg,var(--line),transparent) 0 0/.6rem 100% scroll,
linear-gradient(-90deg,var(--line),transparent) 100% 0/.6rem 100% scroll;background-repeat:no-repeat}
table{border-collapse:collapse;font-variant-numeric:tabular-nums;font-size:.97rem;margin:.2rem 0;width:auto}
caption{text-align:left;color:var(--faint);font-size:.92rem;padding:.2rem 0 .3rem}
th,td{padding:.4rem .55rem;border-bottom:1px solid var(--line);text-align:right;vertical-align:baseline;
white-space:nowrap}
th.whole{white-space:nowrap} .under{display:block;white-space:nowrap}
th .under{white-space:normal;font-weight:400}
th{font-weight:600;white-space:normal;color:var(--faint);
border-bottom-color:var(--edge)} tbody th{color:var(--ink);border-bottom-color:var(--line)}
tbody tr:last-child>*{border-bottom:0}
th:first-child,td:first-child{text-align:left;padding-left:0} td.words,th.words{text-align:left;
white-space:normal;min-width:10rem}
.kpis{display:flex;flex-wrap:wrap;gap:.7rem 1.9rem;margin:.4rem 0 .7rem} .kpis div span{display:block;
font-size:.9rem;color:var(--faint)}
.kpis div b{font-size:1.7rem;line-height:1.15;font-weight:600;font-family:var(--serif);font-variant-numeric:tabular-nums}
svg{display:block;max-width:100%;height:auto}
@container (max-width:21rem){table.above,table.above>*{display:block;width:100%}
table.above tr{display:grid;grid-template-columns:repeat(5,1fr)} table.above tr>:first-child{grid-column:1/-1;border:0}
table.above tr>*{min-width:0;padding-left:0;text-align:left}}
table.cards{width:100%}
@container (min-width:45rem){table.cards td.words{width:46%}}
@media (max-width:39.99rem){th,td{padding:.4rem .3rem} th{font-size:.84rem} td.words,th.words{min-width:6rem}
tbody th{font-size:.94rem} .under{font-size:.82rem}}
"""
    + CARDS
)

FIGURE = """
:host{display:block;width:100%;touch-action:auto;min-width:0;max-width:100%}
:host .bk-Canvas,:host .bk-events{touch-action:auto!important}
@media print{:host{display:var(--print-screen)!important}}
"""

WIDE = CARDS.replace("44.99rem", "52.99rem")  # the build sheet has nine columns
SHEET_PRINT = (
    WIDE
    + """
.facts,.signed{display:flex;flex-wrap:wrap;gap:.2rem 1.6rem;max-width:none;align-items:baseline}
.facts span,.signed span{margin-right:.4rem;color:var(--faint)}.facts b{color:var(--ink)}
.signed i,.made i,.facts i{display:inline-block;border-bottom:1px solid var(--edge)} .signed i{width:11rem}
.facts i{width:6rem}
.made i{width:2.6rem}
.three,.lines,.made{display:flex;flex-direction:column;gap:.1rem;white-space:nowrap}
.lines{text-align:left;color:var(--faint)} .lines b{font-weight:400;color:var(--ink)}
.box,.signed{display:none!important}
.made>span:has(i){display:none} .paper{display:none}
@media screen{.bench :is(th,td){padding-inline:.3rem}.bench th:first-child{padding-left:0}
.bench .cards .words{min-width:9rem;width:100%}.bench .cards .words:nth-child(8){min-width:6rem;width:auto}
.bench .made{white-space:normal}@container (max-width:52.99rem){
table.cards td:has(.made.blank){display:none!important} table.cards td:has(.lines)::before{content:"\\00a0"!important}}}
ol{max-width:44rem}
@media print{:host{display:var(--print-sheet)!important;font-size:9pt;line-height:1.15}
table{font-size:9pt;width:100%;margin:1mm 0}caption{break-after:avoid}
thead{display:table-header-group}tr{break-inside:avoid}
th,td{padding:.35mm 1.2mm;white-space:normal;font-size:9pt}.under,.small,caption,.mark,p,li,span,b,i{font-size:9pt}
.screen{display:none}.paper{display:block;break-inside:avoid}span.paper{display:inline}
.signed{display:flex!important;margin:1.5mm 0 0}.signed i{width:34mm}.signed i:nth-of-type(2n){width:20mm}
.facts{gap:1mm 7mm}.signed{gap:1mm 2mm}
.signed span{margin-right:1mm}
.three,.lines{display:grid;grid-template-columns:1fr max-content;gap:.2mm .5mm;align-items:center}
.three>*,.lines>*{grid-column:1}.box{display:flex!important;align-items:center;justify-content:flex-end;min-width:10.3mm;height:6mm;
padding:0 .5mm;border:.3mm solid var(--edge);grid-column:2!important}.box.known{border-color:transparent}
.bench .lines{margin:0;gap:.2mm 1mm}.lines .screen,.lines:has(.box~.box)>:first-child{display:none}
.lines .box{border-color:transparent;padding:0;min-width:0}.lines .box:has(~.box){grid-column:1/3!important}
.bench .change caption{display:none}
.bench tr.paper{display:table-row}.bench tr.paper td{padding:0 0 .2mm;border-bottom:1px solid var(--line)}
.bench tbody:has(.lines){break-inside:avoid}.bench tr:has(.lines)>:nth-child(-n+7){border:0}
.bench table:has(.lines) :is(th,td):nth-child(8){max-width:0;padding:0;visibility:hidden;
overflow:hidden;white-space:nowrap}
.bench tr:has(.lines) .made{display:none}
.made{display:flex;flex-flow:wrap;gap:0 2.5mm;white-space:normal}.made i{width:9mm}.made>span:has(i){display:block}
.todo,.idle,.cannot{display:block;margin:0}
.wait :is(.todo,.cannot){display:inline}.wait :is(.todo,.cannot)::after{content:" "}
.mark{display:block;border:0;padding:0;margin:0;font-weight:400}.parts ul{columns:3;column-gap:4mm;padding-left:4mm}
table.cards td.words,table.cards th.words{min-width:0;width:auto}
.bench table.cards tr>*:nth-child(9){width:40%}
.bench tr:has(.lines)>:nth-child(-n+7){padding-left:.3mm;padding-right:.7mm}
.bench tr>*:first-child{min-width:15mm}.made.row{gap:0 2mm}.made.row i{width:7mm}
h2{font-size:13pt}h3{font-size:10pt;margin:1mm 0 .2mm;break-after:avoid}
p,p.small,li{line-height:1.15;max-width:none;margin:.1mm 0}
ul,ol{max-width:none;margin:1mm 0}.scroll{overflow:visible}
.kpis{gap:1mm 7mm;margin:1mm 0}.kpis div span::after{content:":"}
.kpis div b{font-size:10pt}.kpis div span{display:inline;margin-right:1.5mm;font-size:9pt}
.note{padding:.3mm 2.5mm;max-width:none;background:none}}
"""
)

CARD_PRINT = """
h3{display:flex;justify-content:space-between;flex-wrap:wrap;gap:0 1rem;align-items:baseline}h3 span{min-width:0;
overflow-wrap:anywhere}.when{font-family:var(--sans);
font-size:.9rem;font-weight:400;white-space:nowrap}
@media print{:host{display:var(--print-card)!important;width:var(--card-width)!important;border:1px dashed #000;
padding:.9mm 3mm;box-sizing:border-box;font-size:var(--card-type);line-height:1}
table{font-size:var(--card-type);width:100%;margin:0}
th,td{padding:var(--card-row) 1mm;border-bottom-width:var(--card-line);font-size:var(--card-type)}
caption{display:none}.carries table{display:var(--card-table)}.carries caption{display:var(--card-brief)}
.carries thead{display:var(--card-head)}
.carries caption{font-size:var(--card-type);padding:0}
.carries tbody{display:var(--card-list);grid:repeat(var(--rows),auto)/auto-flow minmax(0,1fr);column-gap:4mm}
.carries tr{display:var(--card-one);grid-template-columns:minmax(0,1fr) 9mm 14mm}
[data-brief]{font-size:var(--card-name)}[data-brief]::before{content:attr(data-brief);display:var(--card-brief);
font-size:var(--card-type)}
h3{font-size:var(--card-type);margin:0;gap:2mm;flex-wrap:nowrap}
h3 span:first-child{white-space:nowrap;overflow:hidden;
text-overflow:ellipsis;line-height:1.2}.when{font-size:var(--card-type);white-space:nowrap}
p{white-space:nowrap}
p,p.small{font-size:var(--card-type);margin:0;line-height:1.05}
.small.under{font-size:var(--card-type)}.scroll{overflow:visible}.more{display:var(--card-more)!important}}
"""
