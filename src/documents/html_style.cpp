/// The look: quiet paper, thin ink lines, verdicts in the palette of Okabe and Ito (2008, Color
/// Universal Design, from memory) under a sign in black, always with the word beside it.
#include <string>

#include "documents/html.h"

namespace voltsill::doc {
namespace {

constexpr std::string_view variables = R"css(:root {
  color-scheme: light dark;
  --paper: #fbfaf5; --ink: #1d2430; --soft: #4c5666; --line: #8a919d; --hair: #d9d8d0; --wash: #f2f0e8;
  --link: #0b4f86; --focus: #0072b2; --range: #c9d8e8; --alarm: #a84400;
}
@media (prefers-color-scheme: dark) {
  :root {
    --paper: #171b21; --ink: #e8e6df; --soft: #b4b9c2; --line: #7d8592; --hair: #343b46; --wash: #1f252d;
    --link: #8cc8f2; --focus: #56b4e9; --range: #33475d; --alarm: #ff9a52;
  }
}
@media print {
  :root { --paper: #fff; --ink: #000; --soft: #000; --line: #000; --hair: #bbb; --wash: #fff; --link: #000; --range: #ddd; --alarm: #000; }
}
)css";

constexpr std::string_view page_rules = R"css(* { box-sizing: border-box; }
html { font-size: 100%; -webkit-text-size-adjust: 100%; scroll-padding-top: 1rem; }
body {
  margin: 0 auto; padding: 1.5rem 1rem 4rem; max-width: 50rem;
  background: var(--paper); color: var(--ink);
  font: 1rem/1.55 "Iowan Old Style", "Palatino Linotype", Palatino, Georgia, "DejaVu Serif", serif;
  overflow-wrap: break-word;
}
h1, h2, h3, h4, h5, h6, th, dt, caption, summary, figcaption, nav, .verdict {
  font-family: "Segoe UI", "Helvetica Neue", Helvetica, Arial, "DejaVu Sans", sans-serif;
}
h1 { font-size: 1.6rem; line-height: 1.25; margin: 0 0 0.75rem; padding-bottom: 0.5rem; border-bottom: 2px solid var(--ink); }
h2 { font-size: 1.25rem; line-height: 1.3; margin: 2.5rem 0 0.5rem; padding-top: 0.6rem; border-top: 1px solid var(--line); }
h3 { font-size: 1.05rem; margin: 1.5rem 0 0.25rem; }
h4, h5, h6 { font-size: 1rem; margin: 1.25rem 0 0.25rem; }
p, ul, dl { margin: 0.5rem 0; }
ul { padding-left: 1.25rem; }
a { color: var(--link); text-underline-offset: 0.15em; }
:focus-visible { outline: 3px solid var(--focus); outline-offset: 2px; }
main:focus { outline: none; }
.skip { position: absolute; left: -100vw; top: 0; padding: 0.5rem 1rem; background: var(--paper); color: var(--link); z-index: 1; }
.skip:focus { left: 0; }
nav { font-size: 0.9rem; }
nav ul { list-style: none; margin: 0; padding: 0; display: flex; flex-wrap: wrap; }
nav li { margin: 0 1.25rem 0 0; }
nav a { display: inline-block; padding: 0.2rem 0; }
.verdict { white-space: nowrap; font-weight: 600; }
.sign {
  display: inline-block; min-width: 1.35em; padding: 0 0.2em; text-align: center; line-height: 1.35;
  border: 1px solid #000; border-radius: 0.2em; color: #000; font-weight: 700;
}
.safe > .sign { background: #009e73; }
.thin > .sign { background: #e69f00; }
.unknown > .sign { background: #56b4e9; }
.unreadable > .sign { background: #cc79a7; }
.harmful > .sign { background: #d55e00; }
code, pre { font-family: ui-monospace, "Cascadia Mono", Consolas, "DejaVu Sans Mono", monospace; font-size: 0.9em; }
pre.arithmetic {
  margin: 0.5rem 0; padding: 0.35rem 0.75rem; border-left: 3px solid var(--line); background: var(--wash);
  white-space: pre-wrap; overflow-wrap: anywhere;
}
.scroll { overflow-x: auto; margin: 0.75rem 0; }
table { border-collapse: collapse; font-size: 0.92rem; font-variant-numeric: tabular-nums; }
caption { text-align: left; font-weight: 600; padding: 0.25rem 0; }
th, td { text-align: left; vertical-align: top; padding: 0.3rem 0.9rem 0.3rem 0; border-bottom: 1px solid var(--hair); }
tbody th { font-weight: 600; }
thead th { border-bottom: 1px solid var(--ink); font-weight: 600; color: var(--soft); vertical-align: bottom; }
.right { text-align: right; }
.center { text-align: center; }
.whole { white-space: nowrap; }
dl > div { display: grid; grid-template-columns: minmax(7rem, 11rem) 1fr; gap: 0 1rem; padding: 0.2rem 0; border-bottom: 1px solid var(--hair); }
dt { color: var(--soft); font-size: 0.92rem; }
dd { margin: 0; min-width: 0; }
.caution { margin: 1.25rem 0; padding: 0.5rem 1rem; border: 1px solid var(--ink); border-left-width: 0.5rem; }
.caution p { margin: 0.3rem 0; }
details { margin: 0.75rem 0; border-left: 1px solid var(--line); padding-left: 0.9rem; }
summary { cursor: pointer; padding: 0.2rem 0; color: var(--link); font-size: 0.95rem; }
figure { margin: 1rem 0; }
figure svg { max-width: 100%; height: auto; }
figcaption, .legend { font-size: 0.9rem; color: var(--soft); }
.chart svg { display: block; width: 100%; max-width: 34rem; }
)css";

constexpr std::string_view chart_rules =
    R"css(.chart text { fill: var(--ink); font-size: 10px; font-family: "Segoe UI", "Helvetica Neue", Helvetica, Arial, "DejaVu Sans", sans-serif; }
.chart .group { font-size: 10.5px; font-style: italic; }
.chart .point { font-weight: 600; }
.chart .halo { paint-order: stroke; stroke: var(--paper); stroke-width: 3px; stroke-linejoin: round; }
.chart .ink, .chart .band, .chart .zone, .chart .limit { stroke: var(--ink); }
.chart .ink { stroke-width: 1; fill: none; }
.chart .grid { stroke: var(--hair); stroke-width: 1; }
.chart .band { stroke-width: 1; }
.chart .nominal { stroke: #000; stroke-width: 2; }
.chart .nominal-edge { stroke: #fff; stroke-width: 4; }
.chart .zone { stroke-width: 0.8; fill: var(--paper); }
.chart .limit { stroke-width: 2.5; }
.chart .leader { stroke: var(--line); stroke-width: 0.8; }
.chart .supply { stroke: var(--ink); stroke-width: 1.2; stroke-dasharray: 3 2; }
.chart .hatch { stroke: var(--ink); stroke-width: 0.8; }
.chart .title { font-weight: 600; font-size: 11px; }
.chart .paper { fill: var(--paper); }
.chart .frame { fill: none; stroke: var(--line); stroke-width: 0.8; }
.chart .threshold { stroke: var(--ink); stroke-width: 0.8; stroke-dasharray: 8 2; }
.chart .wave-range { fill: var(--range); stroke: none; }
.chart .wave-nominal, .chart .wave-worst, .chart .wave-median { fill: none; stroke-linejoin: round; }
.chart .wave-nominal { stroke: var(--ink); stroke-width: 1.5; }
.chart .wave-worst { stroke: var(--alarm); stroke-width: 1.5; stroke-dasharray: 4 2; }
.chart .wave-median { stroke: var(--soft); stroke-width: 1.1; stroke-dasharray: 0.8 2.2; }
)css";

constexpr std::string_view medium_rules = R"css(@media (max-width: 30rem) {
  dl > div { grid-template-columns: 1fr; }
  h1 { font-size: 1.35rem; }
}
@media (forced-colors: active) {
  .sign { border-color: CanvasText; forced-color-adjust: none; }
}
@media print {
  body { max-width: none; padding: 0; font-size: 10pt; }
  nav, .skip { display: none; }
  .sign { background: #fff !important; }
  .chart svg { max-width: 13cm; max-height: 16cm; }
  h2, h3, h4 { break-after: avoid; }
  figure, .caution, tr, pre { break-inside: avoid; }
  .scroll { overflow: visible; }
  thead { display: table-header-group; }
  details > *, details::details-content { display: block; content-visibility: visible; }
  a { text-decoration: none; }
}
)css";

}  // namespace

std::string_view html_style() {
    static const std::string all =
        std::string(variables).append(page_rules).append(chart_rules).append(medium_rules);
    return all;
}

std::string_view chart_style() {
    static const std::string all = std::string(variables).append(chart_rules);
    return all;
}

}  // namespace voltsill::doc
