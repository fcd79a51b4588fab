/// The look: quiet paper, thin ink lines, verdicts in the palette of Okabe and Ito (2008, Color
/// Universal Design, from memory) under a sign in black, always with the word beside it.
#include <string>

#include "documents/html.h"
#include "drawing/svg.h"

namespace voltsill::doc {
namespace {

constexpr std::string_view variables = R"css(:root {
  --link: #0b4f86; --focus: #0072b2;
}
@media (prefers-color-scheme: dark) {
  :root {
    --link: #8cc8f2; --focus: #56b4e9;
  }
}
@media print {
  :root { --link: #000; }
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
h1 {
  font-size: 1.6rem; line-height: 1.25; margin: 0 0 0.75rem; padding-bottom: 0.5rem;
  border-bottom: 2px solid var(--ink);
}
h2 {
  font-size: 1.25rem; line-height: 1.3; margin: 2.5rem 0 0.5rem; padding-top: 0.6rem;
  border-top: 1px solid var(--line);
}
h3 { font-size: 1.05rem; margin: 1.5rem 0 0.25rem; }
h4, h5, h6 { font-size: 1rem; margin: 1.25rem 0 0.25rem; }
p, ul, dl { margin: 0.5rem 0; }
ul { padding-left: 1.25rem; }
a { color: var(--link); text-underline-offset: 0.15em; }
:focus-visible { outline: 3px solid var(--focus); outline-offset: 2px; }
main:focus { outline: none; }
.skip {
  position: absolute; left: -100vw; top: 0; padding: 0.5rem 1rem; background: var(--paper); color: var(--link);
  z-index: 1;
}
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
/* A shade at an edge beyond which the table goes on: it stays in place, and what covers it moves with the table. */
.scroll {
  overflow-x: auto; margin: 0.75rem 0;
  background-repeat: no-repeat; background-attachment: local, local, scroll, scroll;
  background-position: left, right, left, right; background-size: 2rem 100%, 2rem 100%, 0.6rem 100%, 0.6rem 100%;
  background-image: linear-gradient(to right, var(--paper) 50%, transparent),
    linear-gradient(to left, var(--paper) 50%, transparent),
    linear-gradient(to right, var(--soft), transparent), linear-gradient(to left, var(--soft), transparent);
}
table { border-collapse: collapse; font-size: 0.92rem; font-variant-numeric: tabular-nums; }
caption { text-align: left; font-weight: 600; padding: 0.25rem 0; }
th, td { text-align: left; vertical-align: top; padding: 0.3rem 0.9rem 0.3rem 0; border-bottom: 1px solid var(--hair); }
tbody th { font-weight: 600; }
thead th { border-bottom: 1px solid var(--ink); font-weight: 600; color: var(--soft); vertical-align: bottom; }
.right { text-align: right; }
.center { text-align: center; }
.whole { white-space: nowrap; }
dl > div {
  display: grid; grid-template-columns: minmax(7rem, 11rem) 1fr; gap: 0 1rem; padding: 0.2rem 0;
  border-bottom: 1px solid var(--hair);
}
dt { color: var(--soft); font-size: 0.92rem; }
dd { margin: 0; min-width: 0; }
.caution { margin: 1.25rem 0; padding: 0.5rem 1rem; border: 1px solid var(--ink); border-left-width: 0.5rem; }
.caution p { margin: 0.3rem 0; }
details { margin: 0.75rem 0; border-left: 1px solid var(--line); padding-left: 0.9rem; }
summary { cursor: pointer; padding: 0.2rem 0; color: var(--link); font-size: 0.95rem; }
figure { margin: 1rem 0; }
figure .drawing { display: block; width: 100%; height: auto; }
.steps { padding-left: 2.2rem; }
.steps li { margin: 0.35rem 0; }
.steps label { display: block; padding-left: 1.75rem; text-indent: -1.75rem; }
.steps p { margin: 0 0 0 1.75rem; font-size: 0.92rem; color: var(--soft); }
input[type="checkbox"] {
  width: 1.25rem; height: 1.25rem; margin: 0 0.25rem 0 0; vertical-align: -0.2rem; accent-color: var(--focus);
}
figcaption, .legend { font-size: 0.9rem; color: var(--soft); }
)css";

constexpr std::string_view medium_rules = R"css(@media (max-width: 30rem) {
  /* In the view while the table under it is moved sideways. */
  caption { position: sticky; left: 0; width: max-content; max-width: calc(100vw - 2rem); }
  table { font-size: 0.85rem; }
  th, td { padding-right: 0.5rem; }
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
  h2, h3, h4, caption, thead { break-after: avoid; }
  figure, .caution, tr, pre, .steps li { break-inside: avoid; }
  .page-break { break-before: page; }
  figure .drawing { min-width: 0 !important; }
  .scroll { overflow: visible; background: none; }
  thead { display: table-header-group; }
  details > *, details::details-content { display: block; content-visibility: visible; }
  a { text-decoration: none; }
}
)css";

}  // namespace

std::string_view html_style() {
    static const std::string all =
        drawing::style_sheet().append(variables).append(page_rules).append(medium_rules);
    return all;
}

}  // namespace voltsill::doc
